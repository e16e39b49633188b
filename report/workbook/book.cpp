#include "report/workbook/book.h"

#include <fcntl.h>
#include <unistd.h>
#include <xlsxwriter.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <optional>

#include "ledger/base/utf8.h"
#include "ledger/words/words.h"
#include "report/workbook/cell_text.h"
#include "report/workbook/charts.h"
#include "report/workbook/styles.h"
#include "report/workbook/wrap.h"

namespace trayproof::workbook {
namespace {

constexpr std::size_t name_points_max = 31;
constexpr std::size_t rows_max = 1'048'576;
constexpr std::size_t links_max = 65'530;  // of a sheet, as Excel counts
// Of all sheets together the library holds every link in memory until the end, whatever the mode.
constexpr std::size_t links_in_book_max = 100'000;
constexpr std::size_t rows_in_memory = 2'000;
// The library copies header and footer into 255 bytes.
constexpr std::size_t footer_bytes_max = 110;
constexpr lxw_row_t title_row = 0;
constexpr lxw_row_t note_row = 1;
constexpr lxw_row_t header_row = 2;
constexpr lxw_row_t first_row = 3;
constexpr double line_points = 12.75;
constexpr double row_points_max = 409;  // Excel's
// Bold type on a dark ground takes more room than the standard.
constexpr double header_squeeze = 0.85;
constexpr double column_pixels = 7.1;  // of one unit of a column's width

std::string system_reason() { return std::strerror(errno); }

// Ampersands begin a field in a footer. Cut at a whole code point.
std::string footer_text(std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    std::string one;
    append_utf8(one, next_code_point(text, at));
    if (one == "&") one = "&&";
    if (static_cast<unsigned char>(one.front()) < 0x20) one = " ";
    if (out.size() + one.size() > footer_bytes_max) break;
    out += one;
  }
  return out;
}

bool is_sheet_name(std::string_view name) {
  if (first_bad_utf8(name) || name.empty() || code_points(name) > name_points_max) return false;
  return name.find_first_of("[]:*?/\\'") == std::string_view::npos;
}

// Days since 1899-12-30 in wall time, as spreadsheets count. They count a 29 February 1900 that never was, so earlier
// days have no number.
std::optional<double> serial_of(std::int64_t local_ms) {
  const std::int64_t days_before_epoch = 25569;
  if (local_ms < -days_before_epoch * day_ms + 61 * day_ms) return std::nullopt;
  return static_cast<double>(days_before_epoch) + static_cast<double>(local_ms) / static_cast<double>(day_ms);
}

double row_points(std::size_t lines) { return std::min(static_cast<double>(lines) * line_points + 3, row_points_max); }

// Of a row whose texts take one line: most rows are so, and are not told of one by one.
const double usual_points = row_points(1);

// Of the columns from `first` to the end.
double width_from(const Grid& grid, std::size_t first) {
  double width = 0;
  for (std::size_t col = first; col < grid.columns.size(); ++col) width += grid.columns[col].width;
  return width;
}

// The rows of a link as a spreadsheet counts them; the whole of a case's rows is marked when it is followed.
void put_internal_target(const Link& link, std::string& out) {
  out.assign("internal:'").append(link.sheet.str()).append("'!A");
  const std::size_t first = link.rows ? link.rows->first + first_row + 1 : 1;
  out.append(std::to_string(first));
  if (link.rows && link.rows->count > 1) out.append(":A").append(std::to_string(first + link.rows->count - 1));
}

using StreamRoom = std::array<char, 64 * 1024>;

// The farthest rows of a sheet that a link leads to.
struct Farthest {
  std::string sheet;
  std::optional<Rows> rows;
};

// Where a cell stands, in words only when something is wrong with it.
struct Where {
  const Grid& grid;
  std::size_t row = 0;
  std::optional<std::size_t> column = {};
  std::string text() const {
    if (!column) return grid.name;
    return say("workbook.where",
               {{"sheet", grid.name}, {"row", std::to_string(row + 1)}, {"column", grid.columns[*column].heading}});
  }
};

constexpr double points_a_pixel = 0.75;
constexpr double picture_margin_points = 8;

}  // namespace

double picture_scale(double height_units) {
  constexpr double most = 0.98;
  return std::min(most, (row_points_max - picture_margin_points) / (height_units * points_a_pixel));
}

double picture_row_points(double height_units) {
  return std::min(height_units * picture_scale(height_units) * points_a_pixel + picture_margin_points, row_points_max);
}

std::size_t utf16_units(std::string_view text) {
  // A code point begins with every byte that does not continue one, and those of four bytes take two.
  std::size_t units = 0;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    units += static_cast<std::size_t>((byte & 0xC0U) != 0x80U) + static_cast<std::size_t>(byte >= 0xF0);
  }
  return units;
}

const Row& Grid::row(std::size_t index, Row& room) const {
  if (!source.lay_out) return rows[index];
  room.clear();
  source.lay_out(index, room);
  return room;
}

struct Book::Inner {
  Setup setup;
  int usual_offset = 0;                            // of times, when the book was made
  std::string part;                                // the file that is being written
  std::vector<std::unique_ptr<StreamRoom>> rooms;  // outlive the book
  lxw_workbook* book = nullptr;
  std::optional<Styles> styles;
  std::vector<std::string> sheets;
  std::vector<std::size_t> sheet_rows;  // of each
  std::vector<Farthest> targets;
  std::string target;  // of the link that is being written
  std::size_t links = 0;
  std::size_t links_left_out = 0;
  std::optional<Error> error;

  ~Inner() {
    if (book != nullptr) lxw_workbook_free(book);
    if (!part.empty()) ::unlink(part.c_str());
  }

  void fail(std::string sentence) {
    if (!error) error.emplace(ErrorCode::invalid, std::move(sentence));
  }

  void took(lxw_error code, const Where& where) {
    if (code != LXW_NO_ERROR) fail(say("workbook.writer", {{"where", where.text()}, {"what", lxw_strerror(code)}}));
  }

  // Whether the text may stand in a cell; else the error is kept. `made` holds it where it is not the text itself.
  CellChars checked(const std::string& text, std::string& made, const Where& where) {
    const CellChars chars = cell_chars(text, made);
    if (chars.text == nullptr) {
      fail(say("workbook.utf8", {{"where", where.text()}, {"byte", std::to_string(*chars.bad_byte + 1)}}));
      return chars;
    }
    if (chars.text->size() <= cell_units_max) return chars;  // no character has more units than bytes
    const std::size_t units = utf16_units(*chars.text);
    if (units <= cell_units_max) return chars;
    fail(say("workbook.long",
             {{"where", where.text()}, {"found", std::to_string(units)}, {"allowed", std::to_string(cell_units_max)}}));
    return {};
  }

  // Answers whether it holds line ends.
  bool write_text(lxw_worksheet* sheet, lxw_row_t row, lxw_col_t col, const std::string& text, lxw_format* format,
                  const Where& where) {
    std::string made;
    const CellChars chars = checked(text, made, where);
    // As a string always: "=1+1", "+91", "-5" and "@x" stay what was written.
    if (chars.text != nullptr) took(worksheet_write_string(sheet, row, col, chars.text->c_str(), format), where);
    return chars.broken;
  }

  void write_time(lxw_worksheet* sheet, lxw_row_t row, lxw_col_t col, Instant at, const Where& where) {
    const int offset = setup.zone.offset_minutes(at);
    const auto serial = serial_of(at.ms + offset * minute_ms);
    if (!serial) {
      write_text(sheet, row, col, format_date_time({at, offset}), styles->of(Look::plain), where);
      return;
    }
    lxw_format* format = styles->time(offset == usual_offset ? std::nullopt : std::optional<int>(offset));
    took(worksheet_write_number(sheet, row, col, *serial, format), where);
  }

  void write_number(lxw_worksheet* sheet, lxw_row_t row, lxw_col_t col, const Number& number, const Where& where) {
    if (!std::isfinite(number.value)) return fail(say("workbook.finite", {{"where", where.text()}}));
    took(worksheet_write_number(sheet, row, col, number.value, styles->number(number.decimals)), where);
  }

  // Past what a sheet takes the library would leave the cell empty: there the text stands without its link. Answers
  // whether the text holds line ends.
  bool write_link(lxw_worksheet* sheet, lxw_row_t row, lxw_col_t col, const Link& link, std::size_t& links_here,
                  const Where& where) {
    if (links_here == links_max || links == links_in_book_max) {
      ++links_left_out;
      return write_text(sheet, row, col, link.text.str(), styles->of(Look::plain), where);
    }
    keep_target(link);
    std::string made;
    const CellChars chars = checked(link.text.str(), made, where);
    if (chars.text == nullptr) return false;
    ++links_here;
    ++links;
    put_internal_target(link, target);
    took(worksheet_write_url_opt(sheet, row, col, target.c_str(), styles->link(), chars.text->c_str(), nullptr), where);
    return chars.broken;
  }

  // Sheets may be linked to before they are added.
  void keep_target(const Link& link) {
    for (Farthest& one : targets) {
      if (one.sheet != link.sheet.str()) continue;
      if (link.rows && (!one.rows || link.rows->first + link.rows->count > one.rows->first + one.rows->count))
        one.rows = link.rows;
      return;
    }
    targets.push_back({link.sheet.str(), link.rows});
  }

  // Answers the lines that it takes in a column of that width.
  std::size_t write_cell(lxw_worksheet* sheet, lxw_row_t row, lxw_col_t col, const Cell& cell, double width,
                         std::size_t& links_here, const Where& where) {
    if (const auto* text = std::get_if<Text>(&cell)) {
      const bool broken = write_text(sheet, row, col, text->text.str(), styles->of(text->look), where);
      return lines_in(text->text.str(), text->look == Look::strong ? width * header_squeeze : width, broken);
    }
    if (const auto* link = std::get_if<Link>(&cell)) {
      const bool broken = write_link(sheet, row, col, *link, links_here, where);
      return lines_in(link->text.str(), width, broken);
    }
    if (const auto* number = std::get_if<Number>(&cell)) {
      write_number(sheet, row, col, *number, where);
    } else if (const auto* at = std::get_if<Instant>(&cell)) {
      write_time(sheet, row, col, *at, where);
    } else {
      took(worksheet_write_blank(sheet, row, col, styles->of(Look::plain)), where);
    }
    return 1;
  }

  void set_up_print(lxw_worksheet* sheet, const Grid& grid) {
    worksheet_set_landscape(sheet);
    worksheet_set_paper(sheet, 9);  // A4
    if (grid.print.percent == 0)
      worksheet_fit_to_pages(sheet, 1, grid.print.one_page ? 1 : 0);
    else
      worksheet_set_print_scale(sheet, static_cast<std::uint16_t>(grid.print.percent));
    worksheet_set_margins(sheet, 0.4, 0.4, 0.5, 0.7);
    took(worksheet_repeat_rows(sheet, header_row, header_row), {grid});
    const std::string footer = "&L&8" + footer_text(setup.footer_left) + "&C&8" +
                               say("workbook.page", {{"sheet", "&A"}, {"page", "&P"}, {"pages", "&N"}}) + "&R&8" +
                               footer_text(setup.footer_right);
    took(worksheet_set_footer(sheet, footer.substr(0, 254).c_str()), {grid});
  }

  // A sheet that is written without being held goes through a temporary file, which the library leaves at the stream's
  // usual 4 KiB: with more the system is called, and gives memory to the file, in larger pieces.
  void make_room(lxw_worksheet* sheet) {
    if (sheet->optimize_tmpfile == nullptr) return;
    rooms.push_back(std::make_unique<StreamRoom>());
    const int done = std::setvbuf(sheet->optimize_tmpfile, rooms.back()->data(), _IOFBF, rooms.back()->size());
    CHECK(done == 0);
  }

  // Filter, panes and widths before the first row: a sheet that is written without being held takes them only then.
  void set_up(lxw_worksheet* sheet, const Grid& grid) {
    set_up_print(sheet, grid);
    const auto columns = static_cast<lxw_col_t>(grid.columns.size());
    for (lxw_col_t col = 0; col < columns; ++col) {
      took(worksheet_set_column(sheet, col, col, grid.columns[col].width, nullptr), {grid});
    }
    const auto last = static_cast<lxw_row_t>(header_row + std::max<std::size_t>(grid.row_count(), 1));
    if (grid.filter)
      took(worksheet_autofilter(sheet, header_row, 0, last, static_cast<lxw_col_t>(columns - 1)), {grid});
    worksheet_freeze_panes(sheet, first_row, grid.columns.size() > 5 ? 1 : 0);
    worksheet_gridlines(sheet, LXW_HIDE_ALL_GRIDLINES);
    write_head(sheet, grid);
  }

  void write_head(lxw_worksheet* sheet, const Grid& grid) {
    worksheet_set_default_row(sheet, usual_points, LXW_FALSE);
    // Row after row: a sheet that is written without being held does not go back.
    took(worksheet_set_row(sheet, title_row, 24, nullptr), {grid});
    write_text(sheet, title_row, 0, grid.title, styles->title(), {grid});
    took(worksheet_set_row(sheet, note_row, 18, nullptr), {grid});
    write_text(sheet, note_row, 0, grid.note, styles->note(), {grid});
    std::size_t lines = 1;
    for (const Column& column : grid.columns) {
      lines = std::max(lines, lines_in(column.heading, column.width * header_squeeze));
    }
    took(worksheet_set_row(sheet, header_row, row_points(lines) + 4, nullptr), {grid});
    for (lxw_col_t col = 0; col < grid.columns.size(); ++col) {
      write_text(sheet, header_row, col, grid.columns[col].heading, styles->header(), {grid});
    }
  }

  double points_of(const Grid& grid, std::size_t index, std::size_t lines) const {
    const auto picture =
        std::find_if(grid.pictures.begin(), grid.pictures.end(), [&](const Picture& one) { return one.row == index; });
    return picture != grid.pictures.end() ? picture->row_points : row_points(lines);
  }

  void write_row(lxw_worksheet* sheet, const Grid& grid, std::size_t index, const Row& cells, std::size_t& links_here) {
    const auto row = static_cast<lxw_row_t>(first_row + index);
    const std::size_t last = cells.size() - 1;
    const bool stretched = cells.size() < grid.columns.size();
    CHECK(!cells.empty() && cells.size() <= grid.columns.size() && !(stretched && grid.filter));
    if (stretched) {
      const auto* text = std::get_if<Text>(&cells[last]);
      took(worksheet_merge_range(sheet, row, static_cast<lxw_col_t>(last), row,
                                 static_cast<lxw_col_t>(grid.columns.size() - 1), "",
                                 styles->of(text == nullptr ? Look::plain : text->look)),
           {grid});
    }
    std::size_t lines = 1;
    for (lxw_col_t col = 0; col <= last; ++col) {
      const double width = stretched && col == last ? width_from(grid, col) : grid.columns[col].width;
      lines = std::max(lines, write_cell(sheet, row, col, cells[col], width, links_here, {grid, row, col}));
    }
    // A row that is not held is written with the next one's first cell, so that it still takes its height here.
    const double points = points_of(grid, index, lines);
    if (points != usual_points) took(worksheet_set_row(sheet, row, points, nullptr), {grid});
  }

  void write_rows(lxw_worksheet* sheet, const Grid& grid) {
    std::size_t links_here = 0;
    Row room;
    for (std::size_t i = 0; i < grid.row_count() && !error; ++i)
      write_row(sheet, grid, i, grid.row(i, room), links_here);
  }

  void put_pictures(lxw_worksheet* sheet, const Grid& grid) {
    for (const Picture& one : grid.pictures) {
      CHECK(one.png != nullptr && one.row < grid.row_count() && one.column < grid.columns.size());
      lxw_image_options options{};
      options.x_offset = options.y_offset = 3;
      options.x_scale = options.y_scale = one.scale;
      options.object_position = LXW_OBJECT_MOVE_DONT_SIZE;
      options.description = const_cast<char*>(one.in_words.c_str());  // copied, not changed
      took(worksheet_insert_image_buffer_opt(sheet, static_cast<lxw_row_t>(first_row + one.row),
                                             static_cast<lxw_col_t>(one.column), one.png->data(), one.png->size(),
                                             &options),
           {grid});
    }
  }

  // Two beside each other below the rows; each two rows of charts begin a page.
  void put_charts(lxw_worksheet* sheet, const Grid& grid) {
    const auto below = static_cast<lxw_row_t>(first_row + grid.row_count() + 1);
    std::vector<lxw_row_t> pages;
    for (const std::size_t at : grid.print.pages_at) pages.push_back(static_cast<lxw_row_t>(first_row + at));
    for (std::size_t i = 0; i < grid.charts.size(); ++i) {
      const auto row = static_cast<lxw_row_t>(below + i / 2 * chart_rows);
      if (i % 4 == 0) pages.push_back(row);
      const double half = width_from(grid, 0) * column_pixels / 2;
      took(put_chart(book, sheet, grid.charts[i], grid.figures, {row, i % 2 == 0 ? 0 : half, half - 8}), {grid});
    }
    if (pages.empty()) return;
    pages.push_back(0);
    took(worksheet_set_h_pagebreaks(sheet, pages.data()), {grid});
  }

  void check_links() {
    for (const Farthest& one : targets) {
      const auto there = std::find(sheets.begin(), sheets.end(), one.sheet);
      if (there == sheets.end()) {
        fail(say("workbook.no-sheet", {{"sheet", one.sheet}}));
        continue;
      }
      const std::size_t rows = sheet_rows[static_cast<std::size_t>(there - sheets.begin())];
      CHECK(!one.rows || one.rows->first + one.rows->count <= rows);
    }
  }

  Error not_written(const std::string& what) const {
    return {ErrorCode::unavailable, say("workbook.write", {{"path", setup.path}, {"what", what}})};
  }

  Result<void> put_in_place() {
    const int file = ::open(part.c_str(), O_RDWR | O_CLOEXEC);
    if (file < 0) return not_written(system_reason());
    const bool durable = ::fsync(file) == 0;
    const std::string reason = system_reason();
    ::close(file);
    if (!durable) return not_written(reason);
    if (::rename(part.c_str(), setup.path.c_str()) != 0) return not_written(system_reason());
    part.clear();
    return {};
  }
};

Book::Book(std::unique_ptr<Inner> inner) : inner_(std::move(inner)) {}
Book::Book(Book&&) noexcept = default;
Book& Book::operator=(Book&&) noexcept = default;
Book::~Book() = default;

Result<Book> Book::begin(Setup setup) {
  auto inner = std::make_unique<Inner>();
  inner->setup = std::move(setup);
  inner->usual_offset = inner->setup.zone.offset_minutes(inner->setup.created);
  const Setup& given = inner->setup;
  for (const std::string* text : {&given.title, &given.subject, &given.footer_left, &given.footer_right}) {
    if (first_bad_utf8(*text)) return Error(ErrorCode::invalid, say("workbook.utf8-setup"));
  }
  const std::string part = given.path + ".part-" + std::to_string(::getpid());
  const int file = ::open(part.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  if (file < 0) return inner->not_written(system_reason());
  ::close(file);
  inner->part = part;
  lxw_workbook_options options{};
  options.constant_memory = given.rows > rows_in_memory ? LXW_TRUE : LXW_FALSE;
  options.use_zip64 = LXW_FALSE;
  inner->book = workbook_new_opt(part.c_str(), &options);
  if (inner->book == nullptr) return inner->not_written(say("workbook.no-book"));
  inner->styles.emplace(inner->book);
  // The library copies the texts and changes none of them.
  lxw_doc_properties properties{};
  properties.title = const_cast<char*>(given.title.c_str());
  properties.subject = const_cast<char*>(given.subject.c_str());
  properties.company = const_cast<char*>(given.footer_left.c_str());
  // Zero would mean the present time.
  properties.created = static_cast<time_t>(std::max<std::int64_t>(given.created.ms / second_ms, 1));
  if (workbook_set_properties(inner->book, &properties) != LXW_NO_ERROR)
    return inner->not_written(say("workbook.no-book"));
  return Book(std::move(inner));
}

void Book::add(const Grid& grid) {
  Inner& in = *inner_;
  CHECK(in.book != nullptr && is_sheet_name(grid.name) && !grid.columns.empty());
  CHECK(std::find(in.sheets.begin(), in.sheets.end(), grid.name) == in.sheets.end());
  if (in.error) return;
  if (grid.row_count() > rows_max - first_row) {
    return in.fail(say("workbook.rows", {{"sheet", grid.name},
                                         {"found", std::to_string(grid.row_count())},
                                         {"allowed", std::to_string(rows_max - first_row)}}));
  }
  lxw_worksheet* sheet = workbook_add_worksheet(in.book, grid.name.c_str());
  if (sheet == nullptr) return in.fail(say("workbook.sheet", {{"sheet", grid.name}}));
  in.make_room(sheet);
  in.sheets.push_back(grid.name);
  in.sheet_rows.push_back(grid.row_count());
  in.set_up(sheet, grid);
  in.write_rows(sheet, grid);
  in.put_pictures(sheet, grid);
  in.put_charts(sheet, grid);
}

std::size_t Book::links_left_out() const { return inner_->links_left_out; }

Result<void> Book::finish() {
  Inner& in = *inner_;
  CHECK(in.book != nullptr);
  in.check_links();
  if (in.error) return *in.error;
  const lxw_error code = workbook_close(in.book);  // frees the book, whatever it answers
  in.book = nullptr;
  if (code != LXW_NO_ERROR) return in.not_written(lxw_strerror(code));
  return in.put_in_place();
}

}  // namespace trayproof::workbook
