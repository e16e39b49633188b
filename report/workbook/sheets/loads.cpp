#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {

Grid loads_grid(const Facts& facts, const Places& places) {
  Grid grid = grid_of("loads", {{"load", 10},       {"method", 12},    {"equipment", 12},
                                {"cycle", 11},      {"started", 14},   {"ended", 14},
                                {"complete", 9},    {"pack-count", 7}, {"temperature-read", 14},
                                {"gauge-read", 11}, {"hold-read", 8},  {"verdict", 10},
                                {"curve-hold", 9},  {"f0-low", 10},    {"indicators", 12},
                                {"biological", 12}, {"decision", 11},  {"decided", 14},
                                {"decided-by", 10}, {"in-period", 9},  {"gaps", 22}});
  for (const LoadRow& row : facts.loads) {
    const auto curve = places.curve(row.load);
    Cell verdict = row.verdict.empty() ? text(say("workbook.no-curve")) : worded_cell(row.verdict);
    if (curve) verdict = linked("curves", worded(row.verdict.empty() ? "cannot-tell" : row.verdict), curve);
    const Cell decision = row.decision.empty() ? text(say("workbook.undecided")) : worded_cell(row.decision);
    grid.rows.push_back({text(row.load),
                         text(worded(row.method)),
                         or_not_recorded(row.equipment),
                         or_not_recorded(row.cycle),
                         or_not_recorded(time(row.started)),
                         or_not_recorded(time(row.ended)),
                         worded_cell(row.complete),
                         whole(row.packs),
                         or_not_recorded(number(row.temperature_c, 1)),
                         or_not_recorded(number(row.pressure_kpa_gauge, 1)),
                         or_not_recorded(number(row.hold_min, 1)),
                         verdict,
                         or_not_recorded(number(row.curve_hold_min, 1)),
                         or_not_recorded(number(row.f0_low, 2)),
                         or_not_recorded(row.indicators),
                         or_not_recorded(row.biological),
                         decision,
                         or_not_recorded(time(row.decided)),
                         or_not_recorded(row.decided_by),
                         text(say(row.earlier ? "workbook.earlier" : "workbook.word-yes")),
                         gaps_cell(row.gaps)});
  }
  return grid;
}

}  // namespace trayproof::workbook
