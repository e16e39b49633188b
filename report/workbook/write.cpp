#include "report/workbook/write.h"

#include <algorithm>

#include "ledger/words/words.h"
#include "report/workbook/book.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {
namespace {

// The first characters of the ledger's head: enough to tell two books apart on paper.
constexpr std::size_t head_shown = 16;

std::string period_of(const Facts& facts) {
  const auto day = [&](Instant at) { return format_date(facts.zone.civil(at).date); };
  const std::string from = facts.from ? day(*facts.from) : say("workbook.from-first");
  const std::string until = facts.until ? day(*facts.until) : say("workbook.until-now");
  return say("workbook.period", {{"from", from}, {"until", until}});
}

bool has_times(const Grid& grid) {
  for (const Row& row : grid.rows) {
    if (std::any_of(row.begin(), row.end(), [](const Cell& cell) { return std::holds_alternative<Instant>(cell); }))
      return true;
  }
  return false;
}

Setup setup_of(const std::string& path, const Facts& facts, const std::vector<Grid>& grids) {
  Setup setup;
  setup.path = path;
  setup.title = say("workbook.property-title", {{"facility", facts.facility}});
  setup.subject = period_of(facts);
  setup.created = facts.data_as_of;
  setup.zone = facts.zone;
  setup.footer_left = facts.facility + " · " + period_of(facts);
  setup.footer_right = say("workbook.footer-head", {{"size", std::to_string(facts.proof.size)},
                                                    {"head", facts.proof.head.substr(0, head_shown)}});
  for (const Grid& grid : grids) setup.rows = std::max(setup.rows, grid.rows.size());
  return setup;
}

}  // namespace

std::vector<Grid> all_grids(const Facts& facts) {
  std::vector<Grid> grids;
  grids.push_back(cases_grid(facts));
  grids.push_back(loads_grid(facts));
  grids.push_back(gaps_grid(facts));
  grids.push_back(solutions_grid(facts));
  grids.push_back(recalls_grid(facts));
  grids.push_back(proof_grid(facts));
  grids.push_back(limits_grid(facts));
  grids.push_back(not_checked_grid(facts));
  return grids;
}

Result<void> write(const std::string& path, const Facts& facts) {
  std::vector<Grid> grids = all_grids(facts);
  const std::string offset = offset_text(facts.zone.offset_minutes(facts.data_as_of));
  for (Grid& grid : grids) {
    if (has_times(grid))
      grid.note += " " + say("workbook.note-times", {{"zone", facts.zone.name()}, {"offset", offset}});
    if (facts.what_if) grid.note = say("workbook.what-if") + " " + grid.note;
  }
  TRY_LET(Book book, Book::begin(setup_of(path, facts, grids)));
  book.add(summary_grid(facts, grids));
  for (const Grid& grid : grids) book.add(grid);
  return book.finish();
}

}  // namespace trayproof::workbook
