#include "report/workbook/sheets/places.h"

#include "ledger/words/words.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {

Places::Places(const Facts& facts) {
  std::size_t row = 0;
  for (const CaseRow& one : facts.cases) {
    packs_.push_back({row, one.packs.size()});
    row += one.packs.size();
  }
  for (std::size_t i = 0; i < facts.loads.size(); ++i) loads_[facts.loads[i].load] = {i, 1};
  for (std::size_t i = 0; i < facts.solutions.size(); ++i) solutions_[facts.solutions[i].solution] = {i, 1};
  for (std::size_t i = 0; i < facts.pictures.size(); ++i)
    curves_.try_emplace(facts.pictures[i].load, Rows{curve_caption_row(i), 1});
  for (std::size_t i = 0; i < facts.indicators.size(); ++i) {
    const IndicatorRow& one = facts.indicators[i];
    const auto [place, added] = indicators_[one.load].try_emplace(one.pack, Rows{i, 1});
    if (!added && place->second.first + place->second.count == i) ++place->second.count;
  }
}

std::optional<Rows> Places::indicators(const std::string& load, const std::string& pack) const {
  const auto of_load = indicators_.find(load);
  if (of_load == indicators_.end()) return std::nullopt;
  const auto own = found(of_load->second, pack);
  return own ? own : found(of_load->second, std::string());
}

Cell linked(const std::string& sheet_key, std::string text, const std::optional<Rows>& rows) {
  if (!rows || rows->count == 0) return Text{std::move(text), Look::plain};
  return Link{say("workbook.sheet-" + sheet_key), std::move(text), rows};
}

}  // namespace trayproof::workbook
