#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {

Grid gaps_grid(const Facts& facts) {
  Grid grid = grid_of("gaps", {{"severity", 12}, {"rule", 24}, {"subject-kind", 12}, {"subject", 17}, {"arose", 16},
                               {"found", 22}, {"limit", 22}, {"says", 46}, {"closes", 40}, {"seqs", 14},
                               {"state", 13}});
  for (const GapRow& row : facts.gaps) {
    grid.rows.push_back({worded_cell(row.severity), text(row.rule), text(row.subject_kind), text(row.subject),
                         or_not_recorded(time(row.at)), text(row.found), text(row.limit), text(row.says),
                         text(row.closes), text(listed_seqs(row.seqs)), worded_cell(row.state)});
  }
  return grid;
}

}  // namespace trayproof::workbook
