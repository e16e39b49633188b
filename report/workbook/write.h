// The workbook for external review. docs/workbook.md is the authority on its sheets.
#pragma once

#include <string>

#include "ledger/base/result.h"
#include "report/workbook/facts.h"

namespace trayproof::workbook {

struct Written {
  std::size_t links_left_out = 0;  // a sheet and a book take no more; the texts of those cells stand
};

// Writes the book under `path`, whole or not at all. The same facts give the same bytes.
Result<Written> write(const std::string& path, const Facts& facts);

}  // namespace trayproof::workbook
