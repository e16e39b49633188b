// Whether a file that somebody asked for can be written at all, asked before the work: nobody waits for a book that
// comes to nothing, and nothing is recorded for one.
#pragma once

#include <string>

#include "ledger/base/result.h"

namespace trayproof {

// Invalid when the file is there already; unavailable when its folder is not there or cannot be written to.
Result<void> can_be_made(const std::string& file);

}  // namespace trayproof
