#include "tests/bench/bare_book.h"

#include <xlsxwriter.h>

#include <cstdlib>

#include "report/workbook/sheets/sheets.h"
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
  grids.push_back(solutions_grid(facts));
  grids.push_back(std::move(figures.grid));
  return grids;
}

void bare_cell(lxw_worksheet* sheet, lxw_row_t row, lxw_col_t col, const Cell& cell) {
  if (const auto* text = std::get_if<Text>(&cell))
    worksheet_write_string(sheet, row, col, text->text.c_str(), nullptr);
  else if (const auto* number = std::get_if<Number>(&cell))
    worksheet_write_number(sheet, row, col, number->value, nullptr);
  else if (const auto* at = std::get_if<Instant>(&cell))
    worksheet_write_number(sheet, row, col, static_cast<double>(at->ms) / static_cast<double>(day_ms) + 25569, nullptr);
  else if (const auto* link = std::get_if<Link>(&cell))
    worksheet_write_url_opt(sheet, row, col, ("internal:'" + link->sheet + "'!A1").c_str(), nullptr, link->text.c_str(),
                            nullptr);
}

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
  for (const Grid& grid : grids) {
    lxw_worksheet* sheet = workbook_add_worksheet(book, grid.name.c_str());
    for (std::size_t i = 0; i < grid.rows.size(); ++i) {
      for (std::size_t col = 0; col < grid.rows[i].size(); ++col)
        bare_cell(sheet, static_cast<lxw_row_t>(i + 3), static_cast<lxw_col_t>(col), grid.rows[i][col]);
    }
    measured.rows += static_cast<double>(grid.rows.size());
  }
  if (workbook_close(book) != LXW_NO_ERROR) std::exit(1);
  measured.seconds = now_s() - from;
  return measured;
}

}  // namespace trayproof::bench
