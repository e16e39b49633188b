#include "report/workbook/sheets/places.h"

#include "ledger/words/words.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {

namespace {

std::string name_of(std::string_view sheet_key) { return say("workbook.sheet-" + std::string(sheet_key)); }

}  // namespace

Places::ById::ById(std::string_view sheet_key) : sheet(name_of(sheet_key)) {}

std::size_t Places::Hash::operator()(const PackOfLoad& one) const {
  const std::hash<std::string_view> hash;
  return hash(one.first) * 31 + hash(one.second);
}

Places::Places(const Facts& facts)
    : cases_sheet_(name_of("cases")), packs_sheet_(name_of("packs")), indicators_sheet_(name_of("indicators")) {
  std::size_t row = 0;
  packs_.reserve(facts.cases.size());
  for (const CaseRow& one : facts.cases) {
    packs_.push_back({row, one.packs.size()});
    row += one.packs.size();
  }
  for (std::size_t i = 0; i < facts.loads.size(); ++i) loads_.rows[facts.loads[i].load] = {i, 1};
  for (std::size_t i = 0; i < facts.solutions.size(); ++i) solutions_.rows[facts.solutions[i].solution] = {i, 1};
  for (std::size_t i = 0; i < facts.pictures.size(); ++i)
    curves_.rows.try_emplace(facts.pictures[i].load, Rows{curve_caption_row(i), 1});
  indicators_.reserve(facts.indicators.size());
  for (std::size_t i = 0; i < facts.indicators.size(); ++i) {
    const IndicatorRow& one = facts.indicators[i];
    const auto [place, added] = indicators_.try_emplace({one.load, one.pack}, Rows{i, 1});
    if (!added && place->second.first + place->second.count == i) ++place->second.count;
  }
}

std::optional<Place> Places::indicators(std::string_view load, std::string_view pack) const {
  auto place = indicators_.find({load, pack});
  if (place == indicators_.end()) place = indicators_.find({load, {}});
  if (place == indicators_.end()) return std::nullopt;
  return Place{&indicators_sheet_, place->second};
}

Cell linked(CellText text, const std::optional<Place>& place) {
  if (!place || place->rows.count == 0) return Text{std::move(text), Look::plain};
  return Link{CellText::borrowed(*place->sheet), std::move(text), place->rows};
}

}  // namespace trayproof::workbook
