#include "tests/reference/policy.h"

#include "tests/reference/relevant_load.h"

namespace trayproof::reference {
namespace {

bool has_placed_curve(const Facts& facts, const Load& load) {
  for (const PlacedCurve& curve : placed_curves(facts)) {
    if (curve.load == load.id) return true;
  }
  return false;
}

// The indicators read of this load. The definition is silent: one read by `pack` alone counts for every load that could
// be the pack's relevant one at the reading.
Happenings indicators_of(const Facts& facts, const Load& load) {
  Happenings found;
  for (const Happening& event : facts.events) {
    if (event.kind != "indicator-read") continue;
    for (const Load* read : loads_of_indicator(facts, event)) {
      if (read == &load) found.push_back(event);
    }
  }
  return found;
}

// "all that an affected load reaches which is not steam, lacks reading and curve, or has no passing indicator or a
// failed one"
bool cannot_wait(const Facts& facts, const Load& load) {
  if (load.method != "steam-gravity" && load.method != "steam-prevacuum") return true;
  if (!load.operator_reading && !has_placed_curve(facts, load)) return true;
  bool passed = false;
  bool failed = false;
  for (const Happening& indicator : indicators_of(facts, load)) {
    passed = passed || indicator.names("result", "pass");
    failed = failed || indicator.names("result", "fail");
  }
  return !passed || failed;
}

// The definition is silent: what is reached without a load (a kit, a pack never loaded, a soak, an index patient) has
// no cycle that three repeats could clear, so it does not wait.
bool use_cannot_wait(const Facts& facts, const Use& use) {
  const Pack* pack = facts.pack(use.pack);
  if (pack != nullptr && pack->implant) return true;
  if (!use.load) return true;
  return cannot_wait(facts, *facts.load(*use.load));
}

bool procedure_cannot_wait(const Facts& facts, const ReachedProcedure& reached) {
  // "those with an implant (procedure or set)"
  if (reached.procedure->event.yes("implant") || reached.uses.empty()) return true;
  for (const Use& use : reached.uses) {
    if (use_cannot_wait(facts, use)) return true;
  }
  return false;
}

bool pack_cannot_wait(const Facts& facts, const Affected& affected, const PackStanding& standing,
                      const std::vector<ReachedProcedure>& procedures) {
  if (standing.pack->implant) return true;
  bool held = false;
  for (const Load& load : facts.loads) {
    if (!affected.reaches(load.id, standing.pack->id)) continue;
    held = true;
    if (cannot_wait(facts, load)) return true;
  }
  if (!held) return true;
  // The definition is silent: a pack counts as one with an implant also when an implant procedure was reached by it.
  for (const ReachedProcedure& reached : procedures) {
    if (!reached.procedure->event.yes("implant")) continue;
    for (const Use& use : reached.uses) {
      if (use.pack == standing.pack->id) return true;
    }
  }
  return false;
}

}  // namespace

bool has_evidence(const Facts& facts, const Load& load) {
  // "Loads with no reading of any kind (an operator reading is any of `temperature_c`, `pressure_kpa_gauge`, `hold_min`
  // on `load-ended`; a placed curve, indicator or biological reading counts whatever its result)"
  if (load.operator_reading || has_placed_curve(facts, load) || !indicators_of(facts, load).empty()) return true;
  for (const Happening& event : facts.events) {
    if (event.kind == "biological-read" && event.names("load", load.id)) return true;
  }
  return false;
}

std::set<std::string> patients_of(const std::vector<ReachedProcedure>& procedures) {
  std::set<std::string> patients;
  for (const ReachedProcedure& reached : procedures) {
    if (const auto patient = reached.procedure->event.text("patient")) patients.insert(*patient);
    for (const std::string& newborn : reached.procedure->event.texts("newborns")) patients.insert(newborn);
  }
  return patients;
}

PolicyCounts count_at_once(const std::vector<PackStanding>& packs, const std::vector<ReachedProcedure>& procedures) {
  return {static_cast<std::int64_t>(packs.size()), static_cast<std::int64_t>(procedures.size()),
          static_cast<std::int64_t>(patients_of(procedures).size())};
}

PolicyCounts count_repeat_first(const Facts& facts, const Affected& affected, const std::vector<PackStanding>& packs,
                                const std::vector<ReachedProcedure>& procedures) {
  PolicyCounts counts;
  std::vector<ReachedProcedure> now;
  for (const ReachedProcedure& reached : procedures) {
    if (procedure_cannot_wait(facts, reached)) now.push_back(reached);
  }
  for (const PackStanding& standing : packs) {
    if (pack_cannot_wait(facts, affected, standing, procedures)) ++counts.packs;
  }
  counts.procedures = static_cast<std::int64_t>(now.size());
  counts.patients = static_cast<std::int64_t>(patients_of(now).size());
  return counts;
}

}  // namespace trayproof::reference
