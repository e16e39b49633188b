#include "ledger/version.h"

namespace trayproof {

std::string program_version() { return TRAYPROOF_VERSION; }
std::string program_name() { return "trayproof " + program_version(); }

}  // namespace trayproof
