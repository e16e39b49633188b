#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {

Grid solutions_grid(const Facts& facts) {
  Grid grid = grid_of("solutions", {{"solution", 11},
                                    {"agent", 14},
                                    {"use", 15},
                                    {"prepared", 14},
                                    {"by", 8},
                                    {"percent", 11},
                                    {"recipe", 18},
                                    {"worked-out", 10},
                                    {"lot", 9},
                                    {"tests", 18},
                                    {"uses", 7},
                                    {"first-use", 14},
                                    {"last-use", 14},
                                    {"end-of-life", 14},
                                    {"discarded", 14},
                                    {"gaps", 18}});
  for (const SolutionRow& row : facts.solutions) {
    const Cell first = row.uses == 0 ? text(say("workbook.not-used")) : or_not_recorded(time(row.first_use));
    const Cell last = row.uses == 0 ? text(say("workbook.not-used")) : or_not_recorded(time(row.last_use));
    grid.rows.push_back(
        {text(row.solution), text(worded(row.agent)), text(worded(row.use)), or_not_recorded(time(row.prepared)),
         or_not_recorded(row.by), or_not_recorded(number(row.percent, 3)), or_not_recorded(row.recipe),
         or_not_recorded(number(row.worked_out_percent, 3)), or_not_recorded(row.lot), or_not_recorded(row.tests),
         whole(row.uses), first, last, or_not_recorded(time(row.end_of_life)), or_not_recorded(time(row.discarded)),
         gaps_cell(row.gaps)});
  }
  return grid;
}

}  // namespace trayproof::workbook
