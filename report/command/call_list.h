// The list for the people who phone: one row a procedure, as CSV (UTF-8 with a byte-order mark, every field quoted,
// text that a spreadsheet would run as a formula kept as text) or as a workbook. Never over an existing file.
#pragma once

#include <string>

#include "ledger/recall/answer.h"

namespace trayproof::command {

Result<void> write_call_list(const std::string& path, const recall::Answer& answer, bool drill);

}  // namespace trayproof::command
