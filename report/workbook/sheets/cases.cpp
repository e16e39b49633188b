#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {
namespace {

std::string or_dash(const std::string& value) { return value.empty() ? say("workbook.not-recorded") : value; }

std::string newborns_of(const CaseRow& row) {
  std::vector<std::string> items = row.newborns;
  if (row.newborns_without_number > 0) {
    items.push_back(say("workbook.newborns-without", {{"count", std::to_string(row.newborns_without_number)}}));
  }
  return items.empty() ? say("workbook.none-named") : listed(items, "\n");
}

std::vector<std::string> chain_of(const CasePack& pack) {
  const std::string load = pack.load.empty() ? say("workbook.no-load") : pack.load;
  const std::string verdict = pack.verdict.empty() ? say("workbook.no-curve") : worded(pack.verdict);
  return {pack.pack,
          or_dash(pack.set),
          load,
          verdict,
          or_dash(pack.hold),
          or_dash(pack.indicator),
          or_dash(pack.biological),
          or_dash(pack.release),
          or_dash(pack.solution)};
}

}  // namespace

Grid cases_grid(const Facts& facts) {
  Grid grid = grid_of("cases", {{"procedure", 15}, {"at", 16}, {"sort", 12}, {"place", 12}, {"patient", 18},
                                {"newborns", 18}, {"packs", 15}, {"sets", 13}, {"loads", 14}, {"verdicts", 13},
                                {"hold", 14}, {"indicators", 15}, {"biological", 17}, {"release", 19},
                                {"soaked-in", 14}, {"gaps", 27}});
  constexpr std::size_t chain_begin = 6;
  std::vector<double> widths;
  for (std::size_t col = chain_begin; col + 1 < grid.columns.size(); ++col) widths.push_back(grid.columns[col].width);
  for (const CaseRow& row : facts.cases) {
    std::vector<std::vector<std::string>> chains;
    for (const CasePack& pack : row.packs) chains.push_back(chain_of(pack));
    Row cells = {text(row.procedure), or_not_recorded(time(row.at)), or_not_recorded(row.sort),
                 or_not_recorded(row.place), or_not_recorded(row.patient), text(newborns_of(row))};
    if (chains.empty()) {
      cells.push_back(text(say("workbook.no-pack")));
      cells.resize(grid.columns.size() - 1);
    } else {
      for (std::string& column : level(chains, widths)) cells.push_back(text(std::move(column)));
    }
    cells.push_back(gaps_cell(row.gaps));
    grid.rows.push_back(std::move(cells));
  }
  return grid;
}

}  // namespace trayproof::workbook
