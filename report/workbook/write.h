// The workbook for external review. docs/workbook.md is the authority on its sheets.
#pragma once

#include <string>

#include "ledger/base/result.h"
#include "report/workbook/facts.h"

namespace trayproof::workbook {

// Writes the book under `path`, whole or not at all. The same facts give the same bytes.
Result<void> write(const std::string& path, const Facts& facts);

}  // namespace trayproof::workbook
