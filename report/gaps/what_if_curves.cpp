#include "report/gaps/what_if_curves.h"

#include <memory>

#include "importer/judge_again.h"
#include "ledger/sop/tried.h"

namespace trayproof::gaps {
namespace {

// What nobody recorded cites what was measured.
Record record_of(const json::Value& judged, const Curve& curve) {
  Record record;
  record.kind = events::find_kind("curve-judged");
  record.origin = curve.seq;
  record.seq = curve.seq;
  record.at = When::exactly(curve.from);
  for (std::size_t i = 0; i < record.kind->fields.size(); ++i) {
    const json::Value* value = judged.find(record.kind->fields[i].name);
    if (value != nullptr && !value->is_null()) record.held.push_back({i, *value});
  }
  return record;
}

// The editions must stay where the judging looks for them.
struct Trying {
  sop::Editions editions;
  importer::Rejudge rejudge;
  Trying(const Ledger& ledger, links::Links& tables, const sop::Sop& what_if)
      : editions(sop::tried(what_if)), rejudge(ledger, tables, editions) {}
};

}  // namespace

Result<void> judge_curves_what_if(Facts& facts, const CurveJudge& judge) {
  std::set<const Curve*> placed;
  for (const Load* load : facts.loads_by_start) placed.insert(load->curves.begin(), load->curves.end());
  for (Curve& curve : facts.curves) {
    if (!placed.contains(&curve)) continue;
    std::optional<json::Value> judged;
    if (judge) {
      TRY_LET(judged, judge(curve.seq));
    }
    if (judged) {
      facts.what_if_judgements.push_back(record_of(*judged, curve));
      curve.judged = &facts.what_if_judgements.back();
      curve.verdict = curve.judged->text("verdict");
      ++facts.as_recorded.judged_again;
    } else if (curve.judged != nullptr) {
      ++facts.as_recorded.curves;
      if (const auto edition = curve.judged->number("sop"))
        facts.as_recorded.editions.insert(static_cast<std::int64_t>(*edition));
    }
  }
  return {};
}

CurveJudge curve_judge(const Ledger& ledger, links::Links& tables, const sop::Sop& what_if) {
  const auto trying = std::make_shared<Trying>(ledger, tables, what_if);
  return [trying, &tables](std::int64_t curve) -> Result<std::optional<json::Value>> {
    TRY_LET(const auto standing, importer::standing_curve(tables, curve));
    return trying->rejudge.judgement(standing);
  };
}

}  // namespace trayproof::gaps
