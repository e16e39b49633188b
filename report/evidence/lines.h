// Lines of JSON as packs and exports hold them.
#pragma once

#include <string>

#include "ledger/store/ledger_file.h"

namespace trayproof::evidence {

// {"entry":"<canonical JSON>","hash":"hex","key":"hex","sig":"hex"} and a line end.
std::string entry_line(const store::EntryView& entry);
std::string text_line(const store::KeptText& text);

}  // namespace trayproof::evidence
