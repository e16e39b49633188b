#include "report/picture/kept_curve.h"

#include "report/picture/of_cycle.h"

namespace trayproof::picture {
namespace {

struct Placing {
  std::optional<std::string> load;
  std::optional<std::int64_t> judged;
};

Result<Placing> placing_of(links::Links& tables, std::int64_t curve) {
  TRY_LET(auto row, tables.database().prepare("SELECT load, judged_seq FROM curves WHERE curve = ?"));
  row.bind(1, curve);
  TRY_LET(const bool there, row.step());
  if (!there) return Placing{};
  return Placing{row.maybe_text(0), row.maybe_integer(1)};
}

Result<KeptCurve> as_recorded(const Ledger& ledger, links::Links& tables, std::int64_t curve,
                              std::vector<importer::WantedCurve>& wanted) {
  KeptCurve out;
  TRY_LET(const auto entry, ledger.entry(curve));
  TRY_LET(auto measured, json::parse(entry.bytes));
  out.file = measured.text_at("file").value_or("");
  TRY_LET(const auto placing, placing_of(tables, curve));
  out.load = placing.load.value_or("");
  if (placing.judged) {
    TRY_LET(const auto judgement, ledger.entry(*placing.judged));
    TRY_LET(out.judged, json::parse(judgement.bytes));
  }
  wanted.push_back({.measured = std::move(measured), .load = placing.load, .error_k = out.judged.number_at("error_k")});
  return out;
}

}  // namespace

Result<std::vector<KeptCurve>> kept_curves(const Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                                           std::span<const std::int64_t> curves) {
  std::vector<KeptCurve> out;
  std::vector<importer::WantedCurve> wanted;
  for (const std::int64_t curve : curves) {
    TRY_LET(auto one, as_recorded(ledger, tables, curve, wanted));
    out.push_back(std::move(one));
  }
  TRY_LET(auto again, importer::read_again(ledger, tables, editions, std::move(wanted)));
  for (std::size_t i = 0; i < out.size(); ++i) {
    importer::CurveAgain& found = again.curves[i];
    // A file that was removed on request leaves the judgement and takes the drawing.
    out[i].removed = std::move(found.missing);
    if (!found.cycle) continue;
    out[i].curve = of_cycle(found.series, *found.cycle, edition_of(editions, *found.cycle), tables.zone());
    name_source(*out[i].curve, *found.import);
    out[i].cycle = std::move(found.cycle);
  }
  return out;
}

}  // namespace trayproof::picture
