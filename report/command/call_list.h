// The list for the people who phone: one row a procedure, as CSV (UTF-8 with a byte-order mark, every field quoted,
// text that a spreadsheet would run as a formula kept as text) or as a workbook. Never over an existing file.
#pragma once

#include <string>

#include "ledger/recall/answer.h"

namespace trayproof::command {

enum class Patients { pseudonyms, numbers };  // as they stand in the answer

// Invalid when the file is there already or ends in neither .csv nor .xlsx.
Result<void> can_write_call_list(const std::string& path);
// Readable by its owner only when it holds numbers.
Result<void> write_call_list(const std::string& path, const recall::Answer& answer, bool drill, Patients patients);

}  // namespace trayproof::command
