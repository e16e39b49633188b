#include "report/evidence/gather.h"

#include <algorithm>
#include <cmath>

#include "ledger/base/limits.h"
#include "ledger/words/words.h"
#include "report/picture/kept_curve.h"

namespace trayproof::evidence {
namespace {

bool rests_on_story(const Belonging& belonging, const gaps::Finding& finding) {
  return std::any_of(finding.seqs.begin(), finding.seqs.end(),
                     [&](std::int64_t seq) { return belonging.is_in_story(seq); });
}

bool concerns(const Belonging& belonging, const gaps::Finding& finding) {
  const std::string& kind = finding.subject_kind;
  const std::string& id = finding.subject_id;
  if (kind == belonging.subject.kind && id == belonging.subject.id) return true;
  // Of a recall its loads concern the case; what else went wrong with each pack is not what it asks.
  if (kind == "load" && belonging.loads.contains(id)) return true;
  if (belonging.subject.kind == "recall") return false;
  if (kind == "procedure" && belonging.procedures.contains(id) && belonging.subject.kind != "procedure") return true;
  if (!rests_on_story(belonging, finding)) return false;
  if (kind == "pack") return belonging.packs.contains(id);
  if (kind == "set") return belonging.sets.contains(id);
  if (kind == "solution") return belonging.solutions.contains(id);
  if (kind == "equipment") return belonging.equipment.contains(id);
  return kind == "lot" && belonging.lots.contains(id);
}

// What this program reads today beside what the record's judgement says.
std::string difference(const importer::Cycle& cycle, const json::Value& judged) {
  const auto minutes = [](const json::Value& of) {
    const json::Value* hold = of.find("hold");
    return hold == nullptr ? std::nullopt : hold->number_at("minutes");
  };
  const auto stored = minutes(judged);
  const auto now = minutes(cycle.judged);
  const bool same_hold = stored.has_value() == now.has_value() && (!now || std::abs(*now - *stored) < 1e-4);
  const std::string verdict(judged.text_at("verdict").value_or(""));
  if (verdict == cycle.verdict && same_hold) return {};
  return say("pack.judged-otherwise",
             {{"verdict", has_word("pack.verdict-" + verdict) ? say("pack.verdict-" + verdict) : verdict}});
}

Result<DrawnCurve> drawn(const Ledger& ledger, std::int64_t curve, picture::KeptCurve kept) {
  DrawnCurve out;
  out.seq = curve;
  out.file = std::move(kept.file);
  out.load = std::move(kept.load);
  out.curve = std::move(kept.curve);
  if (kept.removed) out.note = say("pack.curve-not-drawn", {{"why", *kept.removed}});
  if (!kept.removed && !kept.cycle) out.note = say("pack.curve-no-cycle");
  if (kept.cycle && kept.judged.is_object()) out.note = difference(*kept.cycle, kept.judged);
  TRY_LET(const auto entry, ledger.entry(curve));
  TRY_LET(const auto measured, json::parse(entry.bytes));
  TRY_LET(out.refusals, importer::kept_refusals(ledger, measured));
  return out;
}

}  // namespace

std::vector<const gaps::Finding*> findings_of(const Belonging& belonging, const gaps::Findings& all) {
  std::vector<const gaps::Finding*> out;
  for (const gaps::Finding& one : all.gaps) {
    if (concerns(belonging, one)) out.push_back(&one);
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const gaps::Finding* a, const gaps::Finding* b) { return a->severity < b->severity; });
  return out;
}

Result<std::vector<DrawnCurve>> draw_curves(const Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                                            const Belonging& belonging, std::size_t& left_out) {
  std::vector<std::int64_t> curves(belonging.curves.begin(), belonging.curves.end());
  curves.resize(std::min(curves.size(), limits::pack_drawings));
  TRY_LET(auto kept, picture::kept_curves(ledger, tables, editions, curves));
  std::vector<DrawnCurve> out;
  for (std::size_t i = 0; i < curves.size(); ++i) {
    TRY_LET(auto one, drawn(ledger, curves[i], std::move(kept[i])));
    out.push_back(std::move(one));
  }
  left_out = belonging.curves.size() - out.size();
  return out;
}

std::vector<std::string> methods_and_agents(const Belonging& belonging, const gaps::Facts& facts) {
  std::vector<std::string> out;
  for (const std::string& id : belonging.loads) {
    const gaps::Load* load = facts.load(id);
    if (load == nullptr) continue;
    out.push_back(load->method);
    if (load->solution != nullptr) out.emplace_back(load->solution->agent());
  }
  for (const std::string& id : belonging.solutions) {
    const auto found = facts.solutions.find(id);
    if (found != facts.solutions.end()) out.emplace_back(found->second.agent());
  }
  return out;
}

}  // namespace trayproof::evidence
