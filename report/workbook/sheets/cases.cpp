#include "ledger/base/check.h"
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
  Grid grid = grid_of("cases", {{"procedure", 12},
                                {"at", 14},
                                {"sort", 10},
                                {"place", 10},
                                {"patient", 12},
                                {"newborns", 12},
                                {"packs", 10},
                                {"sets", 10},
                                {"loads", 10},
                                {"verdicts", 10},
                                {"hold", 10},
                                {"indicators", 12},
                                {"biological", 12},
                                {"release", 14},
                                {"soaked-in", 10},
                                {"gaps", 22}});
  for (const CaseRow& row : facts.cases) {
    Row cells = {text(row.procedure),        or_not_recorded(time(row.at)), or_not_recorded(row.sort),
                 or_not_recorded(row.place), or_not_recorded(row.patient),  text(newborns_of(row))};
    const std::size_t chain_columns = grid.columns.size() - cells.size() - 1;
    std::vector<std::vector<std::string>> columns(chain_columns);
    for (const CasePack& pack : row.packs) {
      const auto chain = chain_of(pack);
      CHECK(chain.size() == chain_columns);
      for (std::size_t col = 0; col < chain_columns; ++col) columns[col].push_back(chain[col]);
    }
    if (row.packs.empty()) columns.front().push_back(say("workbook.no-pack"));
    for (const auto& column : columns) cells.push_back(text(numbered(column)));
    cells.push_back(gaps_cell(row.gaps));
    grid.rows.push_back(std::move(cells));
  }
  return grid;
}

}  // namespace trayproof::workbook
