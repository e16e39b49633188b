// The program's own name and version, as it stands in the ledger and in answers.
#pragma once

#include <string>

namespace trayproof {

std::string program_name();     // "trayproof 0.1.0"
std::string program_version();  // "0.1.0"

}  // namespace trayproof
