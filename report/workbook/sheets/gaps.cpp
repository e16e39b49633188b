#include <memory>

#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {

namespace {

Cell subject_cell(const GapRow& row, const Places& places) {
  std::optional<Place> place;
  if (row.subject_kind == "load") place = places.load(row.subject);
  if (row.subject_kind == "solution") place = places.solution(row.subject);
  return linked(CellText::borrowed(row.subject), place);
}

Cell state_cell(const GapRow& row, Phrases& phrases) {
  return row.second.empty() ? phrases.worded_cell(row.state) : text(state_in_words(row));
}

void lay_out(const GapRow& row, const Places& places, Phrases& phrases, Row& cells) {
  put(cells, phrases.worded_cell(row.severity), borrowed(row.rule), text(std::string(spelled_here(row.subject_kind, "thing."))),
      subject_cell(row, places), phrases.or_not_recorded(time(row.at)), borrowed(row.found), borrowed(row.limit),
      borrowed(row.says), borrowed(row.closes), text(listed_seqs(row.seqs)), text(std::to_string(row.first_seen)),
      whole(row.days_open), state_cell(row, phrases));
}

}  // namespace

std::string state_in_words(const GapRow& row) {
  return row.second.empty() ? worded(row.state) : worded(row.state) + ", " + say("workbook.second-" + row.second);
}

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
  grid.source = {facts.gaps.size(),
                 [&facts, &places, phrases = std::make_shared<Phrases>()](std::size_t index, Row& row) {
                   lay_out(facts.gaps[index], places, *phrases, row);
                 }};
  return grid;
}

}  // namespace trayproof::workbook
