// The cells of a workbook as libxlsxwriter's constant-memory mode writes them with no look of their own, no row heights
// and no checks: what there is to compare with.
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
