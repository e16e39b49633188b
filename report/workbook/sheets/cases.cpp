// Cases and the packs that each used: the same chain, once in one row, once with a row for each pack whose links lead
// on.
#include <memory>

#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"
#include "report/workbook/wrap.h"

namespace trayproof::workbook {
namespace {

Cell newborns_of(const CaseRow& row, Phrases& phrases) {
  if (row.newborns_without_number == 0) {
    if (row.newborns.empty()) return borrowed(phrases.said("workbook.none-named"));
    if (row.newborns.size() == 1 && fits(row.newborns.front())) return borrowed(row.newborns.front());
    return text(listed(row.newborns, "\n"));
  }
  std::vector<std::string> items = row.newborns;
  items.push_back(say("workbook.newborns-without", {{"count", std::to_string(row.newborns_without_number)}}));
  return text(listed(items, "\n"));
}

const std::string& or_words(const std::string& value, const Phrases& phrases) {
  return value.empty() ? phrases.not_recorded() : value;
}

// To which row a part of one pack's chain leads.
enum class Leads { nowhere, load, curve, indicators, solution };

struct ChainPart {
  std::string_view heading;
  double width;
  const std::string& (*words)(const CasePack& pack, Phrases& phrases);
  Leads leads = Leads::nowhere;
  double width_in_packs = width + 3;
};

// What leads on has more room where each pack has a row of its own, so that it fits one line.
constexpr double long_words = 31;

// In the order of the columns, in both sheets.
constexpr ChainPart chain[] = {
    {"packs", 10, [](const CasePack& pack, Phrases&) -> const std::string& { return pack.pack; }},
    {"sets", 10,
     [](const CasePack& pack, Phrases& phrases) -> const std::string& { return or_words(pack.set, phrases); }},
    {"loads", 11,
     [](const CasePack& pack, Phrases& phrases) -> const std::string& {
       return pack.load.empty() ? phrases.said("workbook.no-load") : pack.load;
     },
     Leads::load},
    {"verdicts", 10,
     [](const CasePack& pack, Phrases& phrases) -> const std::string& {
       return pack.verdict.empty() ? phrases.said("workbook.no-curve") : phrases.worded(pack.verdict);
     },
     Leads::curve},
    {"hold", 11,
     [](const CasePack& pack, Phrases& phrases) -> const std::string& { return or_words(pack.hold, phrases); }},
    {"indicators", 15,
     [](const CasePack& pack, Phrases& phrases) -> const std::string& { return or_words(pack.indicator, phrases); },
     Leads::indicators, long_words},
    {"biological", 17,
     [](const CasePack& pack, Phrases& phrases) -> const std::string& { return or_words(pack.biological, phrases); },
     Leads::nowhere, long_words},
    {"release", 18,
     [](const CasePack& pack, Phrases& phrases) -> const std::string& { return or_words(pack.release, phrases); },
     Leads::nowhere, long_words},
    {"soaked-in", 11,
     [](const CasePack& pack, Phrases& phrases) -> const std::string& { return or_words(pack.solution, phrases); },
     Leads::solution},
};

std::optional<Place> target_of(Leads leads, const CasePack& pack, const Places& places) {
  const std::string_view load = pack.load_ids.size() == 1 ? pack.load_ids.front() : std::string_view();
  switch (leads) {
    case Leads::nowhere:
      return std::nullopt;
    case Leads::load:
      return places.load(load);
    case Leads::curve:
      return places.curve(load);
    case Leads::indicators:
      return places.indicators(load, pack.pack);
    case Leads::solution:
      return pack.solution_ids.size() == 1 ? places.solution(pack.solution_ids.front()) : std::nullopt;
  }
  return std::nullopt;
}

// Where there is one pack its cells lead on as in "Packs". Some programs show a cell with a link as one line, whatever
// it holds, so that only what fits one line is a link.
Cell pack_cell(const ChainPart& part, double width, const CasePack& pack, const Places& places, Phrases& phrases) {
  const std::string& words = part.words(pack, phrases);
  if (!fits(words)) return text(listed({words}, "\n"));
  const auto target = target_of(part.leads, pack, places);
  if (!target || lines_in(words, width) > 1) return borrowed(words);
  return linked(CellText::borrowed(words), target);
}

// One a line with its number before it, so that the parts of one row's cells can be matched however they are wrapped.
Cell chain_cell(const ChainPart& part, const std::vector<CasePack>& packs, const Places& places, Phrases& phrases) {
  if (packs.size() == 1) return pack_cell(part, part.width, packs.front(), places, phrases);
  Listing list(packs.size(), "\n");
  std::string number;
  for (std::size_t i = 0; i < packs.size(); ++i) {
    number.assign(std::to_string(i + 1)).append(". ");
    list.add(number, part.words(packs[i], phrases));
  }
  return text(list.take());
}

// To the rows of the case in "Packs", where each pack has its own links.
Cell chain_link(const CaseRow& row, const Place& own, Phrases& phrases) {
  if (row.packs.empty()) return borrowed(phrases.said("workbook.no-pack"));
  const bool one = row.packs.size() == 1;
  return linked(say(one ? "workbook.one-pack" : "workbook.packs", {{"count", std::to_string(row.packs.size())}}), own);
}

void add_chain_columns(Grid& grid, double ChainPart::*width) {
  for (const ChainPart& part : chain)
    grid.columns.push_back({say("workbook.head-" + std::string(part.heading)), part.*width});
}

void lay_out_case(const CaseRow& row, std::size_t index, const Places& places, Phrases& phrases, Row& cells) {
  put(cells, borrowed(row.procedure), phrases.or_not_recorded(time(row.at)), phrases.or_not_recorded(row.sort),
      phrases.or_not_recorded(row.place), phrases.or_not_recorded(row.patient), newborns_of(row, phrases),
      chain_link(row, places.packs_of(index), phrases));
  for (const ChainPart& part : chain) put(cells, chain_cell(part, row.packs, places, phrases));
  put(cells, phrases.gaps_cell(row.gaps));
}

void lay_out_pack(const CaseRow& row, std::size_t index, const CasePack& pack, const Places& places, Phrases& phrases,
                  Row& cells) {
  put(cells, linked(CellText::borrowed(row.procedure), places.case_at(index)), phrases.or_not_recorded(time(row.at)),
      phrases.or_not_recorded(row.place));
  for (const ChainPart& part : chain) put(cells, pack_cell(part, part.width_in_packs, pack, places, phrases));
}

}  // namespace

Grid cases_grid(const Facts& facts, const Places& places) {
  Grid grid = grid_of(
      "cases",
      {{"procedure", 11}, {"at", 14}, {"sort", 10}, {"place", 12}, {"patient", 19}, {"newborns", 19}, {"chain", 10}});
  add_chain_columns(grid, &ChainPart::width);
  grid.columns.push_back({say("workbook.head-gaps"), 24});
  grid.source = {facts.cases.size(),
                 [&facts, &places, phrases = std::make_shared<Phrases>()](std::size_t index, Row& row) {
                   lay_out_case(facts.cases[index], index, places, *phrases, row);
                 }};
  return grid;
}

Grid packs_grid(const Facts& facts, const Places& places) {
  Grid grid = grid_of("packs", {{"procedure", 12}, {"at", 14}, {"place", 14}});
  add_chain_columns(grid, &ChainPart::width_in_packs);
  std::vector<std::pair<std::size_t, std::size_t>> packs;  // the case of each row, and which of its packs
  for (std::size_t i = 0; i < facts.cases.size(); ++i) {
    for (std::size_t k = 0; k < facts.cases[i].packs.size(); ++k) packs.emplace_back(i, k);
  }
  grid.source.count = packs.size();
  grid.source.lay_out = [&facts, &places, packs = std::move(packs), phrases = std::make_shared<Phrases>()](
                            std::size_t index, Row& row) {
    const auto [i, k] = packs[index];
    lay_out_pack(facts.cases[i], i, facts.cases[i].packs[k], places, *phrases, row);
  };
  return grid;
}

}  // namespace trayproof::workbook
