// The cells of a workbook, with their formats and links, as libxlsxwriter's constant-memory mode writes them: laid out
// beforehand, with no row heights, no set-up of sheets, no charts and no checks; the file is on the disk, as a book of
// ours is. What there is to compare with.
#pragma once

#include <string>
#include <vector>

#include "report/workbook/facts.h"

namespace trayproof::bench {

struct Measured {
  double seconds = 0;  // by the clock
  double cpu = 0;      // seconds at work
  double rows = 0;
};

// Rows of the sheets that grow with the period.
double rows_of(const workbook::Facts& facts);
Measured bare_book(const workbook::Facts& facts, const std::string& path);
// The book as `report` writes it, laid out from its facts. Ends the program where it cannot be written.
Measured whole_book(const workbook::Facts& facts, const std::string& path);

// Rows a second of the book, of the bare library's: one after the other, as many times as told.
struct Ratios {
  std::vector<double> clock;
  std::vector<double> cpu;
};
Ratios ratios_of(const workbook::Facts& facts, const std::string& path, int times);
// "median 0.95 (0.93 to 0.97)"
std::string median_and_range(const std::vector<double>& ratios);

}  // namespace trayproof::bench
