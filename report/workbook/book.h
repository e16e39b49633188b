// A checking wrapper round libxlsxwriter; the only file that includes xlsxwriter.h is book.cpp.
//
// The library writes what it is given: NaN, broken UTF-8, days that do not exist, links to sheets that are not there.
// This wrapper does not let them through. What cannot be written is kept as the first error and answered by `finish`;
// until `finish` has succeeded nothing stands under the book's name. Equal cells and an equal `created` give equal
// bytes.
#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "ledger/base/zone.h"
#include "report/workbook/cell.h"
#include "report/workbook/chart.h"

namespace trayproof::workbook {

struct Setup {
  std::string path;
  std::string title;        // document property
  std::string subject;      // document property
  Instant created;          // from the record, never from the clock
  Zone zone = Zone::utc();  // times are shown in it; one whose offset is not that of `created` shows its offset
  std::string footer_left;  // on every printed page; cut when too long
  std::string footer_right;
  std::size_t rows = 0;  // of all sheets, so that large books are written without holding them in memory
};

struct Column {
  std::string heading;
  double width = 12;  // in characters of the standard font
};

// A PNG over a row that is made high enough for it.
struct Picture {
  std::size_t row = 0;  // of the grid's rows
  std::size_t column = 0;
  const Bytes* png = nullptr;  // outlives the book
  double scale = 1;
  double row_points = 0;  // how high the row is; of several pictures in a row the last one's holds
  std::string in_words;   // for who cannot see it
};

// A picture, a pixel a unit, is made so much smaller that it fits the highest row that a sheet may have, and the row so
// high, in points.
double picture_scale(double height_units);
double picture_row_points(double height_units);

// How a sheet goes on paper: as wide as one page; or at a fixed scale, so that pages end where they are told to.
struct Print {
  int percent = 0;                    // 0: as wide as one page
  bool one_page = false;              // and no higher
  std::vector<std::size_t> pages_at;  // rows of the grid that begin a page; charts begin pages by themselves
};

// Rows that are laid out one at a time, when they are written: all of a large sheet would take more memory than the
// book. What its cells borrow outlives the grid.
struct Source {
  std::size_t count = 0;
  std::function<void(std::size_t index, Row& row)> lay_out = {};  // appends its cells to an empty row
};

struct Grid {
  std::string name;  // 1 to 31 characters, none of [ ] : * ? / \ ; a text of the catalogue, never of a user
  std::string title;
  std::string note;
  std::vector<Column> columns;
  std::vector<Row> rows;
  Source source = {};  // in place of `rows`
  bool filter = true;
  Print print = {};
  std::vector<Picture> pictures = {};
  std::vector<Chart> charts = {};  // below the rows, two beside each other
  std::string figures = {};        // the sheet that the charts are drawn from

  std::size_t row_count() const { return source.lay_out ? source.count : rows.size(); }
  // `room` holds it where it is laid out for this.
  const Row& row(std::size_t index, Row& room) const;
};

// The most that one cell takes, in UTF-16 units.
inline constexpr std::size_t cell_units_max = 32767;
std::size_t utf16_units(std::string_view text);
// "+05:30"
std::string offset_text(int offset_minutes);

class Book {
 public:
  static Result<Book> begin(Setup setup);
  Book(Book&&) noexcept;
  Book& operator=(Book&&) noexcept;
  ~Book();

  // Title, note, a frozen header row with a filter, the rows; set up for A4 landscape, one page wide, with the header
  // row on every page. A row has as many cells as the grid has columns; in a grid without a filter a shorter row
  // stretches its last cell to the end.
  void add(const Grid& grid);
  // Links that were left out, because a sheet or the book takes no more; their texts stand.
  std::size_t links_left_out() const;
  // Writes the file beside its name, then renames it. After it the book takes nothing more.
  Result<void> finish();

 private:
  struct Inner;
  explicit Book(std::unique_ptr<Inner> inner);
  std::unique_ptr<Inner> inner_;
};

}  // namespace trayproof::workbook
