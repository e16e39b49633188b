#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {

Grid recalls_grid(const Facts& facts) {
  Grid grid = grid_of("recalls", {{"recall", 10},
                                  {"sort", 8},
                                  {"because", 14},
                                  {"subject", 14},
                                  {"opened", 14},
                                  {"as-of", 14},
                                  {"known-at", 9},
                                  {"load-count", 8},
                                  {"pack-count", 8},
                                  {"to-fetch", 8},
                                  {"procedure-count", 13},
                                  {"patient-count", 10},
                                  {"patients-unknown", 13},
                                  {"closed", 14},
                                  {"conclusion", 26},
                                  {"answer", 26}});
  for (const RecallRow& row : facts.recalls) {
    const Cell sort = row.drill ? Cell(Text{say("workbook.drill"), Look::strong}) : text(say("workbook.recall"));
    const std::string conclusion = row.conclusion.empty() && !row.closed ? say("workbook.open") : row.conclusion;
    grid.rows.push_back({text(row.recall), sort, text(std::string(spelled_here(row.because, "desk.because-"))), text(row.subject),
                         or_not_recorded(time(row.opened)), or_not_recorded(time(row.as_of)),
                         text(std::to_string(row.known_at)), whole(row.loads), whole(row.packs), whole(row.to_fetch),
                         whole(row.procedures), whole(row.patients), whole(row.patients_unknown), closing_cell(row),
                         or_not_recorded(conclusion), Text{row.answer_sha256, Look::fixed_width}});
  }
  return grid;
}

}  // namespace trayproof::workbook
