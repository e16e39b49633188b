// A chart of the spreadsheet itself, drawn by whoever opens the book from cells of the sheet "Figures". It reads in
// black and white: series differ by their marks, dashes and patterns, and are named.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace trayproof::workbook {

enum class ChartSort {
  shares,   // bars of parts that add up to a hundred
  columns,  // upright, one on the other
  bars,     // side by side
  scatter,  // over time
};

enum class Mark { dots, line, dashes };

struct Series {
  std::string name;
  std::size_t first_row = 0;  // of the figures' rows, from 0
  std::size_t last_row = 0;
  std::size_t labels = 0;  // column
  std::size_t values = 0;  // column
  Mark mark = Mark::line;  // of a scatter
};

struct Chart {
  ChartSort sort = ChartSort::columns;
  std::string title;
  std::string down;       // name of the axis of values; may be empty
  bool from_zero = true;  // of a scatter
  std::vector<Series> series;
  std::string in_words;  // for who cannot see it
};

}  // namespace trayproof::workbook
