#include "report/command/register_files.h"

#include <algorithm>
#include <cmath>

#include "ledger/base/files.h"
#include "ledger/base/number.h"
#include "ledger/base/time.h"
#include "ledger/words/words.h"
#include "report/csv/csv.h"
#include "report/paper/png.h"
#include "report/register/funnel_drawing.h"
#include "report/workbook/book.h"
#include "report/workbook/sheets/layout.h"

namespace trayproof::command {
namespace {

using json::Value;
using registry::Answer;

// Ids that stand parted by blanks: as many as a cell takes.
std::string fitting(const std::string& text) {
  if (workbook::utf16_units(text) <= workbook::cell_units_max) return text;
  std::vector<std::string> ids;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t blank = std::min(text.find(' ', at), text.size());
    ids.push_back(text.substr(at, blank - at));
    at = blank + 1;
  }
  return workbook::listed(ids, " ");
}

bool is_time(std::string_view column) { return column == "received" || column == "last_event"; }

workbook::Cell cell_of(const std::string& column, const Value& value) {
  if (value.is_number()) {
    const bool whole = value.number() == std::floor(value.number());
    return workbook::Number{value.number(), whole && column != "share" ? 0 : 3};
  }
  if (is_time(column) && value.is_text()) {
    if (const auto at = parse_date_time(value.text())) return at->instant;
  }
  return workbook::text(fitting(cell_text(value)));
}

std::string sheet_of(const Answer& answer) {
  if (answer.more.text_at("measure")) return registry::title_of_drawing(answer);
  return say("district.sheet-" + answer.question);
}

workbook::Grid grid_of(const Answer& answer) {
  workbook::Grid grid{.name = sheet_of(answer), .title = sheet_of(answer), .note = {}, .columns = {}, .rows = {}};
  if (answer.more.text_at("rule")) grid.title = registry::title_of_drawing(answer);
  for (const std::string& note : answer.notes) grid.note += (grid.note.empty() ? "" : " ") + note;
  for (const std::string& one : answer.columns) {
    const bool wide = one == "facility" || one == "ledger" || is_time(one);
    grid.columns.push_back({heading_of(one), wide ? 32.0 : 16.0});
  }
  for (const auto& row : answer.rows) {
    workbook::Row& cells = grid.rows.emplace_back();
    for (std::size_t i = 0; i < row.size(); ++i) cells.push_back(cell_of(answer.columns[i], row[i]));
  }
  return grid;
}

// A sheet that holds nothing but the plot.
workbook::Grid plot_of(const Answer& answer, std::size_t number, const paper::Png& png) {
  const std::string title = registry::title_of_drawing(answer);
  workbook::Grid grid{.name = say("district.sheet-plot", {{"number", std::to_string(number)}}),
                      .title = title,
                      .note = {},
                      .columns = {{title, 72}},
                      .rows = {{workbook::text("")}}};
  grid.filter = false;
  grid.pictures.push_back({.row = 0,
                           .column = 0,
                           .png = &png.bytes,
                           .scale = workbook::picture_scale(png.height) / paper::pixels_a_unit,
                           .row_points = workbook::picture_row_points(png.height),
                           .in_words = picture::in_words(registry::drawing_of(answer))});
  return grid;
}

Result<void> write_csv(const Answer& answer, const std::string& file) {
  std::string text(csv::mark);
  text += csv::row(answer.columns);
  for (const auto& row : answer.rows) {
    std::vector<std::string> cells;
    for (const Value& cell : row) cells.push_back(cell.is_number() ? shortest(cell.number()) : cell_text(cell));
    text += csv::row(cells);
  }
  return write_new_file(file, as_bytes(text), FileMode::shared);
}

}  // namespace

// Keys of texts have - where names of columns have _.
std::string heading_of(std::string column) {
  std::ranges::replace(column, '_', '-');
  return say("district.head-" + column);
}

std::string cell_text(const Value& value) {
  if (value.is_text()) return value.text();
  if (!value.is_number()) return {};
  return rounded(value.number(), 3);
}

std::optional<std::string> no_such_file(const std::string& file, std::string_view question, bool by_facility) {
  if (file.ends_with(".xlsx")) return std::nullopt;
  if (question == book_question) return say("district.ending-book", {{"file", file}});
  if (file.ends_with(".csv")) return std::nullopt;
  const bool drawn = question == "coverage" || (question == "gaps" && by_facility);
  if (!drawn) return say("district.ending", {{"file", file}});
  return file.ends_with(".svg") ? std::optional<std::string>() : say("district.ending-drawn", {{"file", file}});
}

Result<void> write_answer(const Context& context, const Answer& answer, const std::string& file) {
  if (file.ends_with(".csv")) return write_csv(answer, file);
  if (file.ends_with(".svg"))
    return write_new_file(file, as_bytes(picture::svg_file(registry::drawing_of(answer))), FileMode::shared);
  return write_book(context, {answer}, file);
}

Result<void> write_book(const Context& context, const std::vector<Answer>& answers, const std::string& file) {
  workbook::Setup setup;
  setup.path = file;
  setup.title = answers.size() == 1 ? sheet_of(answers.front()) : say("district.book-title");
  setup.created = context.clock.now();
  for (const Answer& answer : answers) setup.rows += answer.rows.size();
  TRY_LET(auto book, workbook::Book::begin(setup));
  std::vector<paper::Png> drawings;
  drawings.reserve(answers.size());  // the book looks at them until it is finished
  for (const Answer& answer : answers) {
    book.add(grid_of(answer));
    if (!registry::is_drawn(answer)) continue;
    const auto funnel = registry::drawing_of(answer);
    TRY_LET(auto png, paper::png_of([&](picture::Canvas& canvas) { return picture::draw_on(canvas, funnel); }));
    drawings.push_back(std::move(png));
    book.add(plot_of(answer, drawings.size(), drawings.back()));
  }
  return book.finish();
}

}  // namespace trayproof::command
