// What `gaps` and `report` are asked in common: a period and an SOP to try instead.
#pragma once

#include <string>

#include "report/asking/period.h"
#include "report/command/context.h"

namespace trayproof::command {

// The text of an SOP file, read as far as to know that it is one.
Result<std::string> sop_text(const std::string& file);

}  // namespace trayproof::command
