#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {

namespace {

Cell subject_cell(const GapRow& row, const Places& places) {
  if (row.subject_kind == "load") return linked("loads", row.subject, places.load(row.subject));
  if (row.subject_kind == "solution") return linked("solutions", row.subject, places.solution(row.subject));
  return text(row.subject);
}

Cell state_cell(const GapRow& row) {
  if (row.second.empty()) return worded_cell(row.state);
  return text(worded(row.state) + ", " + say("workbook.second-" + row.second));
}

}  // namespace

Grid gaps_grid(const Facts& facts, const Places& places) {
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
                               {"first-seen", 9},
                               {"days-open", 8},
                               {"state", 11}});
  for (const GapRow& row : facts.gaps) {
    grid.rows.push_back({worded_cell(row.severity), text(row.rule), text(row.subject_kind), subject_cell(row, places),
                         or_not_recorded(time(row.at)), text(row.found), text(row.limit), text(row.says),
                         text(row.closes), text(listed_seqs(row.seqs)), text(std::to_string(row.first_seen)),
                         whole(row.days_open), state_cell(row)});
  }
  return grid;
}

}  // namespace trayproof::workbook
