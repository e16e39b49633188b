// Cases and the packs that each used: the same chain, once in one row, once with a row for each pack whose links lead
// on.
#include <iterator>

#include "ledger/base/check.h"
#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"
#include "report/workbook/wrap.h"

namespace trayproof::workbook {
namespace {

std::string or_words(const std::string& value) { return value.empty() ? say("workbook.not-recorded") : value; }

std::string newborns_of(const CaseRow& row) {
  std::vector<std::string> items = row.newborns;
  if (row.newborns_without_number > 0) {
    items.push_back(say("workbook.newborns-without", {{"count", std::to_string(row.newborns_without_number)}}));
  }
  return items.empty() ? say("workbook.none-named") : listed(items, "\n");
}

struct ChainPart {
  std::string_view heading;
  double width;
  std::string (*words)(const CasePack& pack);
};

// In the order of the columns, in both sheets.
constexpr ChainPart chain[] = {
    {"packs", 10, [](const CasePack& pack) { return pack.pack; }},
    {"sets", 10, [](const CasePack& pack) { return or_words(pack.set); }},
    {"loads", 11, [](const CasePack& pack) { return pack.load.empty() ? say("workbook.no-load") : pack.load; }},
    {"verdicts", 10,
     [](const CasePack& pack) { return pack.verdict.empty() ? say("workbook.no-curve") : worded(pack.verdict); }},
    {"hold", 11, [](const CasePack& pack) { return or_words(pack.hold); }},
    {"indicators", 15, [](const CasePack& pack) { return or_words(pack.indicator); }},
    {"biological", 17, [](const CasePack& pack) { return or_words(pack.biological); }},
    {"release", 18, [](const CasePack& pack) { return or_words(pack.release); }},
    {"soaked-in", 11, [](const CasePack& pack) { return or_words(pack.solution); }},
};

// There is more room where each pack has a row of its own, so that what leads on fits one line.
double width_in_packs(const ChainPart& part) {
  const bool long_words = part.heading == "indicators" || part.heading == "biological" || part.heading == "release";
  return long_words ? 31 : part.width + 3;
}

// The row that a part of one pack's chain leads to.
std::optional<Rows> target_of(std::string_view heading, const CasePack& pack, const Places& places) {
  const std::string load = pack.load_ids.size() == 1 ? pack.load_ids.front() : std::string();
  if (heading == "loads") return places.load(load);
  if (heading == "verdicts") return places.curve(load);
  if (heading == "indicators") return places.indicators(load, pack.pack);
  if (heading == "soaked-in" && pack.solution_ids.size() == 1) return places.solution(pack.solution_ids.front());
  return std::nullopt;
}

std::string_view sheet_of(std::string_view heading) {
  if (heading == "loads") return "loads";
  if (heading == "verdicts") return "curves";
  if (heading == "indicators") return "indicators";
  return heading == "soaked-in" ? "solutions" : "packs";
}

// Where there is one pack its cells lead on as in "Packs". Some programs show a cell with a link as one line, whatever
// it holds, so that only what fits one line is a link.
Cell pack_cell(const ChainPart& part, double width, const CasePack& pack, const Places& places) {
  std::string words = fitting(part.words(pack));
  const auto target = target_of(part.heading, pack, places);
  if (!target || lines_in(words, width) > 1) return text(std::move(words));
  return linked(std::string(sheet_of(part.heading)), std::move(words), target);
}

Cell chain_cell(const ChainPart& part, double width, const std::vector<CasePack>& packs, const Places& places) {
  if (packs.size() == 1) return pack_cell(part, width, packs.front(), places);
  std::vector<std::string> items;
  items.reserve(packs.size());
  for (const CasePack& pack : packs) items.push_back(part.words(pack));
  return text(numbered(items));
}

// To the rows of the case in "Packs", where each pack has its own links.
Cell chain_link(const CaseRow& row, const Rows& own) {
  if (row.packs.empty()) return text(say("workbook.no-pack"));
  const bool one = row.packs.size() == 1;
  return linked("packs",
                say(one ? "workbook.one-pack" : "workbook.packs", {{"count", std::to_string(row.packs.size())}}), own);
}

void add_chain_columns(Grid& grid, double (*width)(const ChainPart& part)) {
  for (const ChainPart& part : chain)
    grid.columns.push_back({say("workbook.head-" + std::string(part.heading)), width(part)});
}

}  // namespace

Grid cases_grid(const Facts& facts, const Places& places) {
  Grid grid = grid_of(
      "cases",
      {{"procedure", 11}, {"at", 14}, {"sort", 10}, {"place", 12}, {"patient", 19}, {"newborns", 19}, {"chain", 10}});
  add_chain_columns(grid, [](const ChainPart& part) { return part.width; });
  grid.columns.push_back({say("workbook.head-gaps"), 24});
  for (std::size_t i = 0; i < facts.cases.size(); ++i) {
    const CaseRow& row = facts.cases[i];
    Row cells = row_of(text(row.procedure), or_not_recorded(time(row.at)), or_not_recorded(row.sort),
                       or_not_recorded(row.place), or_not_recorded(row.patient), text(newborns_of(row)),
                       chain_link(row, places.packs_of(i)));
    for (const ChainPart& part : chain) cells.push_back(chain_cell(part, part.width, row.packs, places));
    cells.push_back(gaps_cell(row.gaps));
    grid.rows.push_back(std::move(cells));
  }
  return grid;
}

Grid packs_grid(const Facts& facts, const Places& places) {
  Grid grid = grid_of("packs", {{"procedure", 12}, {"at", 14}, {"place", 14}});
  add_chain_columns(grid, width_in_packs);
  for (std::size_t i = 0; i < facts.cases.size(); ++i) {
    const CaseRow& row = facts.cases[i];
    for (const CasePack& pack : row.packs) {
      Row cells =
          row_of(linked("cases", row.procedure, Rows{i, 1}), or_not_recorded(time(row.at)), or_not_recorded(row.place));
      cells.reserve(cells.size() + std::size(chain));
      for (const ChainPart& part : chain) cells.push_back(pack_cell(part, width_in_packs(part), pack, places));
      grid.rows.push_back(std::move(cells));
    }
  }
  return grid;
}

}  // namespace trayproof::workbook
