#include "tests/bench/bare_book.h"

#include <fcntl.h>
#include <unistd.h>
#include <xlsxwriter.h>

#include <cstdio>
#include <cstdlib>

#include "report/workbook/sheets/sheets.h"
#include "report/workbook/styles.h"
#include "report/workbook/write.h"
#include "tests/bench/floor.h"

namespace trayproof::bench {
namespace {

using namespace trayproof::workbook;

std::vector<Grid> grids_of(const Facts& facts, const Places& places) {
  FigureSheet figures = figures_of(facts);
  std::vector<Grid> grids;
  grids.push_back(cases_grid(facts, places));
  grids.push_back(packs_grid(facts, places));
  grids.push_back(loads_grid(facts, places));
  grids.push_back(indicators_grid(facts, places));
  grids.push_back(calendar_grid(facts));
  grids.push_back(gaps_grid(facts, places));
  grids.push_back(solutions_grid(facts));
  grids.push_back(std::move(figures.grid));
  return grids;
}

// A cell that holds its own texts.
Cell own(const Cell& cell) {
  if (const auto* text = std::get_if<Text>(&cell)) return Text{text->text.str(), text->look};
  if (const auto* link = std::get_if<Link>(&cell)) return Link{link->sheet.str(), link->text.str(), link->rows};
  return cell;
}

// All rows of a sheet.
std::vector<Row> rows_of(const Grid& grid) {
  std::vector<Row> rows;
  Row room;
  for (std::size_t i = 0; i < grid.row_count(); ++i) {
    Row& row = rows.emplace_back();
    for (const Cell& cell : grid.row(i, room)) row.push_back(own(cell));
  }
  return rows;
}

// As the book has them: below a title, a note and a header.
constexpr std::size_t first_row = 3;

void put_target(const Link& link, std::string& out) {
  out.assign("internal:'").append(link.sheet.str()).append("'!A");
  const std::size_t first = link.rows ? link.rows->first + first_row + 1 : 1;
  out.append(std::to_string(first));
  if (link.rows && link.rows->count > 1) out.append(":A").append(std::to_string(first + link.rows->count - 1));
}

class BareSheet {
 public:
  BareSheet(lxw_worksheet* sheet, Styles& styles, const Zone& zone) : sheet_(sheet), styles_(styles), zone_(zone) {}

  void write(lxw_row_t row, lxw_col_t col, const Cell& cell) {
    if (const auto* text = std::get_if<Text>(&cell)) {
      worksheet_write_string(sheet_, row, col, text->text.str().c_str(), styles_.of(text->look));
    } else if (const auto* number = std::get_if<Number>(&cell)) {
      worksheet_write_number(sheet_, row, col, number->value, styles_.number(number->decimals));
    } else if (const auto* at = std::get_if<Instant>(&cell)) {
      const auto local_ms = static_cast<double>(at->ms + zone_.offset_minutes(*at) * minute_ms);
      worksheet_write_number(sheet_, row, col, local_ms / static_cast<double>(day_ms) + 25569,
                             styles_.time(std::nullopt));
    } else if (const auto* link = std::get_if<Link>(&cell)) {
      put_target(*link, target_);
      worksheet_write_url_opt(sheet_, row, col, target_.c_str(), styles_.link(), link->text.str().c_str(), nullptr);
    } else {
      worksheet_write_blank(sheet_, row, col, styles_.of(Look::plain));
    }
  }

 private:
  lxw_worksheet* sheet_;
  Styles& styles_;
  const Zone& zone_;
  std::string target_;
};

}  // namespace

double rows_of(const workbook::Facts& facts) {
  double rows = 0;
  const Places places(facts);
  for (const Grid& grid : grids_of(facts, places)) rows += static_cast<double>(grid.row_count());
  return rows;
}

Measured bare_book(const workbook::Facts& facts, const std::string& path) {
  const Places places(facts);
  const auto grids = grids_of(facts, places);
  std::vector<std::vector<Row>> sheets;
  for (const Grid& grid : grids) sheets.push_back(rows_of(grid));
  Measured measured;
  const double from = now_s();
  const double cpu_from = cpu_s();
  lxw_workbook_options options{};
  options.constant_memory = LXW_TRUE;
  lxw_workbook* book = workbook_new_opt(path.c_str(), &options);
  Styles styles(book);
  for (std::size_t at = 0; at < sheets.size(); ++at) {
    const std::vector<Row>& rows = sheets[at];
    BareSheet sheet(workbook_add_worksheet(book, grids[at].name.c_str()), styles, facts.zone);
    for (std::size_t i = 0; i < rows.size(); ++i) {
      for (std::size_t col = 0; col < rows[i].size(); ++col)
        sheet.write(static_cast<lxw_row_t>(i + first_row), static_cast<lxw_col_t>(col), rows[i][col]);
    }
    measured.rows += static_cast<double>(rows.size());
  }
  if (workbook_close(book) != LXW_NO_ERROR) std::exit(1);
  // On the disk, as ours is.
  const int file = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
  if (file < 0 || ::fsync(file) != 0) std::exit(1);
  ::close(file);
  measured.seconds = now_s() - from;
  measured.cpu = cpu_s() - cpu_from;
  return measured;
}

Measured whole_book(const workbook::Facts& facts, const std::string& path) {
  Measured measured;
  measured.rows = rows_of(facts);
  const double from = now_s();
  const double cpu_from = cpu_s();
  const auto done = workbook::write(path, facts);
  measured.seconds = now_s() - from;
  measured.cpu = cpu_s() - cpu_from;
  if (!done.ok()) {
    std::fprintf(stderr, "%s\n", done.error().sentence().c_str());
    std::exit(1);
  }
  return measured;
}

Ratios ratios_of(const workbook::Facts& facts, const std::string& path, int times) {
  Ratios ratios;
  for (int i = 0; i < times; ++i) {
    const Measured bare = bare_book(facts, path);
    const Measured book = whole_book(facts, path);
    ratios.clock.push_back(bare.seconds / book.seconds);
    ratios.cpu.push_back(bare.cpu / book.cpu);
  }
  ::unlink(path.c_str());
  return ratios;
}

std::string median_and_range(const std::vector<double>& ratios) {
  char text[64];
  std::snprintf(text, sizeof text, "median %.2f (%.2f to %.2f)", percentile(ratios, 0.5), percentile(ratios, 0),
                percentile(ratios, 1));
  return text;
}

}  // namespace trayproof::bench
