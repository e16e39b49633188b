#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {

Grid gaps_grid(const Facts& facts) {
  Grid grid = grid_of("gaps", {{"severity", 11},
                               {"rule", 19},
                               {"subject-kind", 10},
                               {"subject", 12},
                               {"arose", 14},
                               {"found", 18},
                               {"limit", 18},
                               {"says", 36},
                               {"closes", 32},
                               {"seqs", 10},
                               {"state", 11}});
  for (const GapRow& row : facts.gaps) {
    grid.rows.push_back({worded_cell(row.severity), text(row.rule), text(row.subject_kind), text(row.subject),
                         or_not_recorded(time(row.at)), text(row.found), text(row.limit), text(row.says),
                         text(row.closes), text(listed_seqs(row.seqs)), worded_cell(row.state)});
  }
  return grid;
}

}  // namespace trayproof::workbook
