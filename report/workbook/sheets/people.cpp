#include <memory>

#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {
namespace {

void lay_out(const IndicatorRow& row, const Places& places, Phrases& phrases, Row& cells) {
  std::optional<Place> load;
  if (row.load_ids.size() == 1) load = places.load(row.load_ids.front());
  put(cells, borrowed(row.pack.empty() ? phrases.said("workbook.whole-load") : row.pack),
      row.load_ids.size() == 1 ? linked(CellText::borrowed(row.load), load) : phrases.or_not_recorded(row.load),
      phrases.or_not_recorded(time(row.at)), phrases.worded_cell(row.result),
      phrases.or_not_recorded(phrases.worded(row.where)), phrases.or_not_recorded(row.type),
      phrases.or_not_recorded(row.lot), phrases.or_not_recorded(row.by), text(std::to_string(row.seq)));
}

}  // namespace

Grid people_grid(const Facts& facts) {
  Grid grid = grid_of("people", {{"person", 14},
                                 {"roles", 22},
                                 {"skill", 18},
                                 {"times", 8},
                                 {"days", 8},
                                 {"first", 15},
                                 {"last", 15},
                                 {"competence", 24},
                                 {"days-without", 11},
                                 {"without-on", 40},
                                 {"left", 15}});
  for (const PersonRow& row : facts.people) {
    const Cell without = row.without_on.empty() ? text(say("workbook.none-found"))
                                                : Cell(Text{listed(row.without_on, ", "), Look::strong});
    const Cell competence =
        row.in_date.empty() ? Cell(Text{say("workbook.none-in-date"), Look::strong}) : text(row.in_date);
    grid.rows.push_back({text(row.person), or_not_recorded(row.roles), text(worded(row.skill)), whole(row.times),
                         whole(row.days), time(row.first), time(row.last), competence, whole(row.days_without), without,
                         row.left ? Cell(*row.left) : text(say("workbook.not-left"))});
  }
  return grid;
}

Grid equipment_grid(const Facts& facts) {
  Grid grid = grid_of("equipment", {{"equipment", 17},
                                    {"sort", 18},
                                    {"serial", 12},
                                    {"check", 14},
                                    {"passed", 15},
                                    {"until-date", 15},
                                    {"result", 10},
                                    {"as-found", 12},
                                    {"certificate", 16},
                                    {"runs", 8},
                                    {"runs-past", 10},
                                    {"stopped", 34}});
  for (const EquipmentRow& row : facts.equipment) {
    const Cell past = row.runs_past > 0 && !row.check.empty() ? Cell(Number{static_cast<double>(row.runs_past), 0})
                      : row.check.empty()                     ? text(say("workbook.no-check"))
                                                              : whole(0);
    grid.rows.push_back(
        {text(row.equipment), or_not_recorded(worded(row.sort)), or_not_recorded(row.serial),
         row.check.empty() ? Cell(Text{say("workbook.no-check"), Look::strong}) : text(worded(row.check)),
         or_not_recorded(time(row.passed)), or_not_recorded(time(row.until)), or_not_recorded(worded(row.result)),
         or_not_recorded(row.as_found), or_not_recorded(row.certificate), whole(row.runs), past,
         row.stopped.empty() ? text(say("workbook.none-recorded")) : text(row.stopped)});
  }
  return grid;
}

Grid indicators_grid(const Facts& facts, const Places& places) {
  Grid grid = grid_of("indicators", {{"pack", 16},
                                     {"load", 16},
                                     {"read-at", 16},
                                     {"result", 14},
                                     {"where", 14},
                                     {"type", 9},
                                     {"lot", 18},
                                     {"read-by", 16},
                                     {"entry", 12}});
  grid.source = {facts.indicators.size(),
                 [&facts, &places, phrases = std::make_shared<Phrases>()](std::size_t index, Row& row) {
                   lay_out(facts.indicators[index], places, *phrases, row);
                 }};
  return grid;
}

}  // namespace trayproof::workbook
