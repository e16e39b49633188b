#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {

Grid recalls_grid(const Facts& facts) {
  Grid grid = grid_of("recalls", {{"recall", 15}, {"sort", 10}, {"because", 20}, {"subject", 20}, {"opened", 16},
                                  {"as-of", 16}, {"known-at", 10}, {"load-count", 8}, {"pack-count", 8},
                                  {"to-fetch", 10}, {"procedure-count", 12}, {"patient-count", 10},
                                  {"patients-unknown", 14}, {"closed", 16}, {"conclusion", 36}, {"answer", 34}});
  for (const RecallRow& row : facts.recalls) {
    const Cell sort = row.drill ? Cell(Text{say("workbook.drill"), Look::strong}) : text(say("workbook.recall"));
    const Cell closed = row.closed ? Cell(*row.closed) : Cell(Text{say("workbook.open"), Look::strong});
    const std::string conclusion = row.conclusion.empty() && !row.closed ? say("workbook.open") : row.conclusion;
    grid.rows.push_back({text(row.recall), sort, text(worded(row.because)), text(row.subject),
                         or_not_recorded(time(row.opened)), or_not_recorded(time(row.as_of)),
                         text(std::to_string(row.known_at)), whole(row.loads), whole(row.packs), whole(row.to_fetch),
                         whole(row.procedures), whole(row.patients), whole(row.patients_unknown), closed,
                         or_not_recorded(conclusion), Text{row.answer_sha256, Look::fixed_width}});
  }
  return grid;
}

}  // namespace trayproof::workbook
