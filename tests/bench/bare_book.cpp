#include "tests/bench/bare_book.h"

#include <fcntl.h>
#include <unistd.h>
#include <xlsxwriter.h>

#include <cstdlib>

#include "report/workbook/sheets/sheets.h"
#include "report/workbook/styles.h"
#include "tests/bench/floor.h"

namespace trayproof::bench {
namespace {

using namespace trayproof::workbook;

std::vector<Grid> grids_of(const Facts& facts) {
  const Places places(facts);
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

// As the book has them: below a title, a note and a header.
constexpr std::size_t first_row = 3;

std::string target_of(const Link& link) {
  const std::string begin = "internal:'" + link.sheet + "'!A";
  if (!link.rows) return begin + "1";
  const std::size_t first = link.rows->first + first_row + 1;
  if (link.rows->count == 1) return begin + std::to_string(first);
  return begin + std::to_string(first) + ":A" + std::to_string(first + link.rows->count - 1);
}

class BareSheet {
 public:
  BareSheet(lxw_worksheet* sheet, Styles& styles, const Zone& zone) : sheet_(sheet), styles_(styles), zone_(zone) {}

  void write(lxw_row_t row, lxw_col_t col, const Cell& cell) {
    if (const auto* text = std::get_if<Text>(&cell)) {
      worksheet_write_string(sheet_, row, col, text->text.c_str(), styles_.of(text->look));
    } else if (const auto* number = std::get_if<Number>(&cell)) {
      worksheet_write_number(sheet_, row, col, number->value, styles_.number(number->decimals));
    } else if (const auto* at = std::get_if<Instant>(&cell)) {
      const auto local_ms = static_cast<double>(at->ms + zone_.offset_minutes(*at) * minute_ms);
      worksheet_write_number(sheet_, row, col, local_ms / static_cast<double>(day_ms) + 25569,
                             styles_.time(std::nullopt));
    } else if (const auto* link = std::get_if<Link>(&cell)) {
      worksheet_write_url_opt(sheet_, row, col, target_of(*link).c_str(), styles_.link(), link->text.c_str(), nullptr);
    } else {
      worksheet_write_blank(sheet_, row, col, styles_.of(Look::plain));
    }
  }

 private:
  lxw_worksheet* sheet_;
  Styles& styles_;
  const Zone& zone_;
};

}  // namespace

double rows_of(const workbook::Facts& facts) {
  double rows = 0;
  for (const Grid& grid : grids_of(facts)) rows += static_cast<double>(grid.rows.size());
  return rows;
}

Measured bare_book(const workbook::Facts& facts, const std::string& path) {
  const auto grids = grids_of(facts);
  Measured measured;
  const double from = now_s();
  lxw_workbook_options options{};
  options.constant_memory = LXW_TRUE;
  lxw_workbook* book = workbook_new_opt(path.c_str(), &options);
  Styles styles(book);
  for (const Grid& grid : grids) {
    BareSheet sheet(workbook_add_worksheet(book, grid.name.c_str()), styles, facts.zone);
    for (std::size_t i = 0; i < grid.rows.size(); ++i) {
      for (std::size_t col = 0; col < grid.rows[i].size(); ++col)
        sheet.write(static_cast<lxw_row_t>(i + first_row), static_cast<lxw_col_t>(col), grid.rows[i][col]);
    }
    measured.rows += static_cast<double>(grid.rows.size());
  }
  if (workbook_close(book) != LXW_NO_ERROR) std::exit(1);
  // On the disk, as ours is.
  const int file = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
  if (file < 0 || ::fsync(file) != 0) std::exit(1);
  ::close(file);
  measured.seconds = now_s() - from;
  return measured;
}

}  // namespace trayproof::bench
