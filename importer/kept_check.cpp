#include "importer/kept_check.h"

#include <algorithm>
#include <functional>

#include "ledger/kept_curves.h"
#include "ledger/store/curves.h"
#include "ledger/words/words.h"

namespace trayproof::importer {
namespace {

using Exported = std::function<Result<void>(const StandingCurve& curve, const judging::Coded& coded)>;

// Every curve with what its export gives for it; exports that were removed are passed over.
Result<void> each_exported(Ledger& ledger, links::Links& tables, const Exported& visit) {
  TRY_LET(auto curves, all_curves(tables));
  std::stable_sort(curves.begin(), curves.end(),
                   [](const StandingCurve& a, const StandingCurve& b) { return a.file < b.file; });
  Digest file{};
  CodedCurves parts(ledger.path());
  for (const StandingCurve& curve : curves) {
    if (curve.file != file) {
      file = curve.file;
      TRY_LET(parts, parts_of_export(ledger, tables, curve));
    }
    if (curve.part > static_cast<std::int64_t>(parts.size())) continue;
    TRY_LET(const auto coded, parts.at(static_cast<std::size_t>(curve.part - 1)));
    TRY(visit(curve, coded));
  }
  return {};
}

}  // namespace

Result<std::vector<KeptFault>> check_kept(Ledger& ledger, links::Links& tables) {
  std::vector<KeptFault> faults;
  TRY(each_exported(ledger, tables, [&](const StandingCurve& curve, const judging::Coded& coded) -> Result<void> {
    TRY_LET(const auto kept, store::read_curve(ledger.file().database(), curve.file, curve.part));
    if (!kept || (kept->bytes == coded.bytes && kept->sketch == coded.sketch)) return {};
    faults.push_back({curve.seq, say("importer.kept-differs")});
    return {};
  }));
  return faults;
}

Result<std::int64_t> keep_again(Ledger& ledger, links::Links& tables) {
  std::int64_t count = 0;
  const auto make_all = [&]() -> Result<void> {
    TRY(ledger.file().database().run("DELETE FROM curves"));
    return each_exported(ledger, tables, [&](const StandingCurve& curve, const judging::Coded& coded) -> Result<void> {
      ++count;
      return keep_curve(ledger, curve.file, curve.part, coded.bytes, coded.sketch);
    });
  };
  TRY(ledger.in_one_step(make_all));
  return count;
}

}  // namespace trayproof::importer
