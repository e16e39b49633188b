// Each reading of a chemical indicator that was made in the period or that a case of the period rests on.
#include <algorithm>
#include <tuple>

#include "ledger/base/number.h"
#include "report/review/material.h"

namespace trayproof::review {

std::vector<workbook::IndicatorRow> indicator_rows(const Material& material) {
  const auto rests_on = material.rests_on();
  const auto belongs = [&](const gaps::Indicator& one) {
    if (material.period.holds(one.record->at.at) || rests_on.packs.contains(one.pack)) return true;
    // A strip of the whole load speaks for each pack in it.
    return one.pack.empty() && std::any_of(one.loads.begin(), one.loads.end(),
                                           [&](const gaps::Load* load) { return rests_on.loads.contains(load->id); });
  };
  const auto& all = material.facts.indicators;
  std::vector<workbook::IndicatorRow> rows;
  rows.reserve(static_cast<std::size_t>(std::count_if(all.begin(), all.end(), belongs)));
  for (const gaps::Indicator& one : all) {
    if (!belongs(one)) continue;
    workbook::IndicatorRow row;
    row.seq = one.record->seq;
    row.at = one.record->at.at;
    row.pack = one.pack;
    for (const gaps::Load* load : one.loads) row.load_ids.push_back(load->id);
    row.load = joined(row.load_ids, ", ");
    row.where = one.record->text("where");
    row.lot = one.record->text("lot");
    std::optional<double> type = one.record->number("type");
    const gaps::Record* lot = row.lot.empty() ? nullptr : material.facts.lot(row.lot, one.record->at.at);
    if (!type && lot != nullptr) type = lot->number("type");
    if (type) row.type = shortest(*type);
    row.result = one.result;
    row.by = one.record->by;
    rows.push_back(std::move(row));
  }
  // Those of one pack of a load stand together, so that a link can lead to all of them.
  std::stable_sort(rows.begin(), rows.end(), [](const workbook::IndicatorRow& a, const workbook::IndicatorRow& b) {
    return std::tie(a.load, a.pack, a.at) < std::tie(b.load, b.pack, b.at);
  });
  return rows;
}

}  // namespace trayproof::review
