#include "report/workbook/write.h"

#include <algorithm>

#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/workbook/book.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {
namespace {

// The first characters of the ledger's head: enough to tell two books apart on paper.
constexpr std::size_t head_shown = 16;

std::string period_of(const Facts& facts) {
  const auto day = [&](Instant at) { return day_here(facts.zone.civil(at).date); };
  const std::string from = facts.from ? day(*facts.from) : say("workbook.from-first");
  const std::string until = facts.until ? day(*facts.until) : say("workbook.until-now");
  return say("workbook.period", {{"from", from}, {"until", until}});
}

bool has_times(const Grid& grid) {
  Row room;
  for (std::size_t i = 0; i < grid.row_count(); ++i) {
    const Row& row = grid.row(i, room);
    if (std::any_of(row.begin(), row.end(), [](const Cell& cell) { return std::holds_alternative<Instant>(cell); }))
      return true;
  }
  return false;
}

Setup setup_of(const std::string& path, const Facts& facts) {
  Setup setup;
  setup.path = path;
  setup.title = say("workbook.property-title", {{"facility", facts.facility}});
  setup.subject = period_of(facts);
  setup.created = facts.data_as_of;
  setup.zone = facts.zone;
  setup.footer_left = facts.facility + " · " + period_of(facts);
  setup.footer_right = say("workbook.footer-head", {{"size", std::to_string(facts.proof.size)},
                                                    {"head", facts.proof.head.substr(0, head_shown)}});
  setup.rows = facts.cases.size() * 3 + facts.loads.size() + facts.indicators.size() + facts.gaps.size();
  return setup;
}

Grid not_checked(const Facts& facts, const Places&) { return not_checked_grid(facts); }

// In the order of the book, between the summary and the figures.
struct Made {
  const char* key;
  Grid (*grid)(const Facts& facts, const Places& places);
};
constexpr Made made[] = {
    {"cases", cases_grid},
    {"packs", packs_grid},
    {"loads", loads_grid},
    {"curves", curves_grid},
    {"indicators", indicators_grid},
    {"biologicals", [](const Facts& facts, const Places&) { return calendar_grid(facts); }},
    {"gaps", gaps_grid},
    {"solutions", [](const Facts& facts, const Places&) { return solutions_grid(facts); }},
    {"recalls", [](const Facts& facts, const Places&) { return recalls_grid(facts); }},
    {"people", [](const Facts& facts, const Places&) { return people_grid(facts); }},
    {"equipment", [](const Facts& facts, const Places&) { return equipment_grid(facts); }},
    {"limits", [](const Facts& facts, const Places&) { return limits_grid(facts); }},
    {"proof", [](const Facts& facts, const Places&) { return proof_grid(facts); }},
    {"not-checked", not_checked},
};

std::size_t packs_of(const Facts& facts) {
  std::size_t count = 0;
  for (const CaseRow& row : facts.cases) count += row.packs.size();
  return count;
}

// How many things a sheet shows, told without laying it out.
std::size_t things_of(const Facts& facts, std::string_view key) {
  if (key == "cases") return facts.cases.size();
  if (key == "packs") return packs_of(facts);
  if (key == "loads") return facts.loads.size();
  if (key == "curves") return facts.pictures.size();
  if (key == "indicators") return facts.indicators.size();
  if (key == "biologicals") return facts.machine_days.size();
  if (key == "gaps") return facts.gaps.size();
  if (key == "solutions") return facts.solutions.size();
  if (key == "recalls") return facts.recalls.size();
  if (key == "people") return facts.people.size();
  if (key == "equipment") return facts.equipment.size();
  if (key == "limits") return facts.limits.size();
  if (key == "proof") return facts.proof.keys.size();
  if (key == "not-checked") return facts.not_checked.size();
  return facts.measures.size();
}

Sheet sheet_of(const Facts& facts, const std::string& key) {
  return {say("workbook.sheet-" + key), say("workbook.title-" + key), things_of(facts, key)};
}

void add(Book& book, const Facts& facts, Grid grid) {
  if (has_times(grid)) {
    const std::string offset = offset_text(facts.zone.offset_minutes(facts.data_as_of));
    grid.note += " " + say("workbook.note-times", {{"zone", facts.zone.name()}, {"offset", offset}});
  }
  if (!facts.what_if.empty()) grid.note = facts.what_if + " " + grid.note;
  book.add(grid);
}

}  // namespace

std::vector<Sheet> contents_of(const Facts& facts) {
  std::vector<Sheet> contents{sheet_of(facts, "summary")};
  for (const Made& one : made) contents.push_back(sheet_of(facts, one.key));
  contents.push_back(sheet_of(facts, "figures"));
  return contents;
}

Result<Written> write(const std::string& path, const Facts& facts) {
  TRY_LET(Book book, Book::begin(setup_of(path, facts)));
  const Places places(facts);
  FigureSheet figures = figures_of(facts);
  add(book, facts, cover_grid(facts, contents_of(facts)));
  add(book, facts, summary_grid(facts, figures));
  for (const Made& one : made) {
    Grid grid = one.grid(facts, places);
    // The last of those that hold links stands before it.
    if (one.grid == not_checked && book.links_left_out() > 0) {
      grid.rows.push_back(
          {text(say("workbook.links-left-out")),
           text(say("workbook.links-left-out-why", {{"count", std::to_string(book.links_left_out())}}))});
    }
    add(book, facts, std::move(grid));
  }
  add(book, facts, std::move(figures.grid));
  TRY(book.finish());
  return Written{book.links_left_out()};
}

}  // namespace trayproof::workbook
