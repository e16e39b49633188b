#include <memory>

#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {
namespace {

Cell verdict_cell(const LoadRow& row, const Places& places, Phrases& phrases) {
  if (const auto curve = places.curve(row.load))
    return linked(CellText::borrowed(phrases.worded(row.verdict.empty() ? "cannot-tell" : row.verdict)), curve);
  return row.verdict.empty() ? borrowed(phrases.said("workbook.no-curve")) : phrases.worded_cell(row.verdict);
}

Cell decision_cell(const LoadRow& row, Phrases& phrases) {
  return row.decision.empty() ? borrowed(phrases.said("workbook.undecided")) : phrases.worded_cell(row.decision);
}

void lay_out(const LoadRow& row, const Places& places, Phrases& phrases, Row& cells) {
  put(cells, borrowed(row.load), borrowed(phrases.worded(row.method)), phrases.or_not_recorded(row.equipment),
      phrases.or_not_recorded(row.cycle), phrases.or_not_recorded(time(row.started)),
      phrases.or_not_recorded(time(row.ended)), phrases.worded_cell(row.complete), whole(row.packs),
      phrases.or_not_recorded(number(row.temperature_c, 1)), phrases.or_not_recorded(number(row.pressure_kpa_gauge, 1)),
      phrases.or_not_recorded(number(row.hold_min, 1)), verdict_cell(row, places, phrases),
      phrases.or_not_recorded(number(row.curve_hold_min, 1)), phrases.or_not_recorded(number(row.f0_low, 2)),
      phrases.or_not_recorded(row.indicators), phrases.or_not_recorded(row.biological), decision_cell(row, phrases),
      phrases.or_not_recorded(time(row.decided)), phrases.or_not_recorded(row.decided_by),
      borrowed(phrases.said(row.earlier ? "workbook.earlier" : "workbook.word-yes")), phrases.gaps_cell(row.gaps));
}

}  // namespace

Grid loads_grid(const Facts& facts, const Places& places) {
  Grid grid = grid_of("loads", {{"load", 10},       {"method", 12},    {"equipment", 12},
                                {"cycle", 11},      {"started", 14},   {"ended", 14},
                                {"complete", 9},    {"pack-count", 7}, {"temperature-read", 14},
                                {"gauge-read", 11}, {"hold-read", 8},  {"verdict", 10},
                                {"curve-hold", 9},  {"f0-low", 10},    {"indicators", 12},
                                {"biological", 12}, {"decision", 11},  {"decided", 14},
                                {"decided-by", 10}, {"in-period", 9},  {"gaps", 22}});
  grid.source = {facts.loads.size(),
                 [&facts, &places, phrases = std::make_shared<Phrases>()](std::size_t index, Row& row) {
                   lay_out(facts.loads[index], places, *phrases, row);
                 }};
  return grid;
}

}  // namespace trayproof::workbook
