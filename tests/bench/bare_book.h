// The cells of a workbook, with their formats and links, as libxlsxwriter's constant-memory mode writes them: laid out
// beforehand, with no row heights, no set-up of sheets, no charts and no checks; the file is on the disk, as a book of
// ours is. What there is to compare with.
#pragma once

#include <string>

#include "report/workbook/facts.h"

namespace trayproof::bench {

struct Measured {
  double seconds = 0;
  double rows = 0;
};

// Rows of the sheets that grow with the period.
double rows_of(const workbook::Facts& facts);
Measured bare_book(const workbook::Facts& facts, const std::string& path);

}  // namespace trayproof::bench
