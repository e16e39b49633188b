#include "tests/reference/recall_reference.h"

#include <algorithm>
#include <array>

#include "tests/reference/policy.h"
#include "tests/reference/standings.h"

namespace trayproof::reference {
namespace {

json::Value text_or_null(const std::optional<std::string>& text) { return text ? json::Value(*text) : json::Value(); }

// Times are printed in the facility's zone with the offset.
std::string printed(const Facts& facts, const DateTime& time) {
  return format_date_time(facts.zone.local(time.instant));
}

json::Value bound_value(const Facts& facts, const std::optional<Bound>& bound) {
  if (!bound) return nullptr;
  json::Value value = json::Value::object();
  value.set("load", text_or_null(bound->load)).set("at", printed(facts, bound->at));
  return value;
}

std::vector<const Load*> affected_loads(const Facts& facts, const Affected& affected) {
  std::vector<const Load*> loads;
  for (const auto& [id, packs] : affected.loads) loads.push_back(facts.load(id));
  // "Arrays are sorted by time (loads by start, …), then id."
  std::sort(loads.begin(), loads.end(), [](const Load* a, const Load* b) {
    const auto place = [](const Load* load) {
      return std::pair<Instant, std::string>(load->start ? load->start->written.instant : Instant{INT64_MIN}, load->id);
    };
    return place(a) < place(b);
  });
  return loads;
}

json::Value load_value(const Facts& facts, const Load& load) {
  // "`released` = time of the latest decision if it is a release, else null."
  const bool released = load.decision && load.decision->kind == "load-released";
  json::Value value = json::Value::object();
  value.set("load", load.id)
      .set("equipment", text_or_null(load.equipment))
      .set("started", load.start ? json::Value(printed(facts, load.start->written)) : json::Value())
      .set("ended", load.end ? json::Value(printed(facts, load.end->written)) : json::Value())
      .set("released", released ? json::Value(printed(facts, load.decision->at.written)) : json::Value())
      .set("evidence", has_evidence(facts, load) ? "recorded" : "missing");
  return value;
}

json::Value pack_value(const PackStanding& standing) {
  json::Value value = json::Value::object();
  value.set("pack", standing.pack->id)
      .set("set", text_or_null(standing.pack->set))
      .set("load", standing.load != nullptr ? json::Value(standing.load->id) : json::Value())
      .set("standing", standing.standing)
      .set("place", text_or_null(standing.place));
  // "Packs of sets with `told_apart` false are listed with `"told_apart": false`."
  if (!standing.pack->told_apart) value.set("told_apart", false);
  return value;
}

json::Value procedure_value(const Facts& facts, const ReachedProcedure& reached) {
  const Happening& event = reached.procedure->event;
  json::Value newborns = json::Value::list();
  for (const std::string& newborn : event.texts("newborns")) newborns.push(newborn);
  json::Value uses = json::Value::list();
  for (const Use& use : reached.uses) {
    json::Value entry = json::Value::object();
    entry.set("pack", use.pack).set("load", text_or_null(use.load));
    uses.push(entry);
  }
  json::Value value = json::Value::object();
  value.set("procedure", reached.procedure->id)
      .set("at", printed(facts, reached.procedure->at.written))
      .set("sort", text_or_null(event.text("sort")))
      .set("place", text_or_null(event.text("place")))
      .set("patient", text_or_null(event.text("patient")))
      .set("newborns", newborns)
      .set("uses", uses);
  return value;
}

json::Value procedures_value(const Facts& facts, const std::vector<ReachedProcedure>& procedures) {
  json::Value list = json::Value::list();
  for (const ReachedProcedure& reached : procedures) list.push(procedure_value(facts, reached));
  return list;
}

std::int64_t with_standing(const std::vector<PackStanding>& packs, const std::string& standing) {
  return std::count_if(packs.begin(), packs.end(), [&](const PackStanding& pack) { return pack.standing == standing; });
}

json::Value counts_value(const Facts& facts, const std::vector<const Load*>& loads,
                         const std::vector<PackStanding>& packs, const std::vector<ReachedProcedure>& procedures,
                         const std::vector<ReachedProcedure>& handled) {
  json::Value counts = json::Value::object();
  counts.set("loads", static_cast<std::int64_t>(loads.size()));
  // "Number of packs = sum of the standings, `handled` included."
  counts.set("packs", static_cast<std::int64_t>(packs.size()));
  constexpr std::array<const char*, 8> names = {"used",   "opened", "withdrawn", "reprocessed",
                                                "issued", "shelf",  "held",      "handled"};
  for (const char* name : names) counts.set(name, with_standing(packs, name));
  counts.set("procedures", static_cast<std::int64_t>(procedures.size()));
  // The definition is silent: patients, patients_unknown and newborns_without_number are those of `procedures`; the
  // handled procedures have their own count.
  counts.set("patients", static_cast<std::int64_t>(patients_of(procedures).size()));
  // "`patients_unknown` = procedures with no `patient`; `newborns_without_number` is a further count."
  std::int64_t unknown = 0;
  std::int64_t newborns = 0;
  for (const ReachedProcedure& reached : procedures) {
    if (!reached.procedure->event.text("patient")) ++unknown;
    newborns += static_cast<std::int64_t>(reached.procedure->event.number("newborns_without_number").value_or(0));
  }
  counts.set("patients_unknown", unknown);
  counts.set("handled_procedures", static_cast<std::int64_t>(handled.size()));
  counts.set("evidence_missing",
             std::count_if(loads.begin(), loads.end(), [&](const Load* load) { return !has_evidence(facts, *load); }));
  counts.set("newborns_without_number", newborns);
  return counts;
}

json::Value policy_counts_value(const PolicyCounts& counts) {
  json::Value value = json::Value::object();
  value.set("packs", counts.packs).set("procedures", counts.procedures).set("patients", counts.patients);
  return value;
}

json::Value policy_value(const Facts& facts, Instant as_of, const PolicyCounts& at_once,
                         const PolicyCounts& repeat_first) {
  // "`recall.policy` of the SOP, `at-once` when it says nothing"
  // The definition is silent: the edition is the one in force at `as_of`.
  const sop::Edition* edition = facts.editions.at(as_of);
  const bool repeats = edition != nullptr && edition->sop.recall_policy == sop::RecallPolicy::repeat_first;
  json::Value value = json::Value::object();
  value.set("in_force", repeats ? "repeat-first" : "at-once");
  // "both counts are shown, the one in force first"
  if (repeats) value.set("repeat-first", policy_counts_value(repeat_first));
  value.set("at-once", policy_counts_value(at_once));
  if (!repeats) value.set("repeat-first", policy_counts_value(repeat_first));
  return value;
}

}  // namespace

Result<json::Value> recall(const std::vector<Entry>& entries, const RecallRequest& request) {
  // "Every answer carries both."
  // The definition is silent: without `--as-of` it is now, and events dated later than now are left out as they would
  // be with it; without `--known-at` it is the last seq, and a later seq than that is taken as the last.
  std::int64_t last = 0;
  for (const Entry& entry : entries) last = std::max(last, entry.seq);
  const Instant as_of = request.as_of.value_or(request.now);
  const std::int64_t known_at = std::min(request.known_at.value_or(last), last);

  const Facts facts = facts_of(entries, known_at, as_of);
  TRY_LET(const Affected affected, affected_by(facts, request));
  const auto loads = affected_loads(facts, affected);
  const auto packs = standings(facts, affected);
  const auto procedures = reached_procedures(facts, affected);
  const auto handled = handled_procedures(facts, affected);

  json::Value window = json::Value::object();
  window.set("after", bound_value(facts, affected.after)).set("before", bound_value(facts, affected.before));
  json::Value load_list = json::Value::list();
  for (const Load* load : loads) load_list.push(load_value(facts, *load));
  json::Value pack_list = json::Value::list();
  for (const PackStanding& pack : packs) pack_list.push(pack_value(pack));

  json::Value answer = json::Value::object();
  answer.set("because", request.because)
      .set("subject", affected.subject)
      .set("as_of", format_date_time(facts.zone.local(as_of)))
      .set("known_at", known_at)
      .set("window", window)
      .set("loads", load_list)
      .set("packs", pack_list)
      .set("procedures", procedures_value(facts, procedures))
      .set("handled_procedures", procedures_value(facts, handled))
      .set("counts", counts_value(facts, loads, packs, procedures, handled))
      .set("policy", policy_value(facts, as_of, count_at_once(packs, procedures),
                                  count_repeat_first(facts, affected, packs, procedures)));
  return answer;
}

}  // namespace trayproof::reference
