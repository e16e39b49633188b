#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {

Grid solutions_grid(const Facts& facts) {
  Grid grid = grid_of("solutions", {{"solution", 15}, {"agent", 19}, {"use", 18}, {"prepared", 16}, {"by", 10},
                                    {"percent", 12}, {"recipe", 26}, {"worked-out", 14}, {"lot", 13}, {"tests", 28},
                                    {"uses", 8}, {"first-use", 16}, {"last-use", 16}, {"end-of-life", 16},
                                    {"discarded", 16}, {"gaps", 26}});
  for (const SolutionRow& row : facts.solutions) {
    const Cell first = row.uses == 0 ? text(say("workbook.not-used")) : or_not_recorded(time(row.first_use));
    const Cell last = row.uses == 0 ? text(say("workbook.not-used")) : or_not_recorded(time(row.last_use));
    grid.rows.push_back({text(row.solution), text(worded(row.agent)), text(worded(row.use)),
                         or_not_recorded(time(row.prepared)), or_not_recorded(row.by),
                         or_not_recorded(number(row.percent, 3)), or_not_recorded(row.recipe),
                         or_not_recorded(number(row.worked_out_percent, 3)), or_not_recorded(row.lot),
                         or_not_recorded(row.tests), whole(row.uses), first, last,
                         or_not_recorded(time(row.end_of_life)), or_not_recorded(time(row.discarded)),
                         gaps_cell(row.gaps)});
  }
  return grid;
}

}  // namespace trayproof::workbook
