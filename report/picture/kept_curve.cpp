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

}  // namespace

Result<KeptCurve> kept_curve(const Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                             std::int64_t curve) {
  KeptCurve out;
  TRY_LET(const auto entry, ledger.entry(curve));
  TRY_LET(const auto measured, json::parse(entry.bytes));
  out.file = measured.text_at("file").value_or("");
  TRY_LET(const auto placing, placing_of(tables, curve));
  out.load = placing.load.value_or("");
  if (placing.judged) {
    TRY_LET(const auto judgement, ledger.entry(*placing.judged));
    TRY_LET(out.judged, json::parse(judgement.bytes));
  }
  auto again = importer::read_again(ledger, tables, editions, measured, placing.load, out.judged.number_at("error_k"));
  // A file that was removed on request leaves the judgement and takes the drawing.
  if (!again.ok()) {
    if (again.error().code() != ErrorCode::missing) return std::move(again).error();
    out.removed = again.error().sentence();
    return out;
  }
  const importer::ReadAgain& found = again.value();
  if (!found.cycle) return out;
  out.cycle = found.cycle;
  out.curve = of_cycle(found.series, *found.cycle, edition_of(editions, *found.cycle), tables.zone());
  name_source(*out.curve, found.import);
  return out;
}

}  // namespace trayproof::picture
