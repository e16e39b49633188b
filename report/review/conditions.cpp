// Whether the recorded evidence of a load reached what the SOP in force asks for. Where a curve is there it decides;
// the operator's readings and, where the time is the process, start and end come after it.
#include <algorithm>

#include "ledger/events/kinds.h"
#include "report/gaps/looking.h"
#include "report/gaps/outside_life.h"
#include "report/review/chain.h"

namespace trayproof::review {
namespace {

using gaps::Told;

Told by_curves(const gaps::Load& load) {
  Told answer = Told::yes;
  for (const gaps::Curve* curve : load.curves) {
    answer = answer && (curve->verdict == "reached"       ? Told::yes
                        : curve->verdict == "not-reached" ? Told::no
                                                          : Told::open);
  }
  return answer;
}

Told steam_by_readings(const gaps::Load& load, const sop::Sop& sop) {
  const auto temperature = load.ended->number("temperature_c");
  const auto hold = load.ended->number("hold_min");
  const sop::SteamProgram* program = gaps::program_of(load, sop);
  if (!temperature || !hold || program == nullptr) return Told::open;
  const auto wanted = gaps::is_wrapped(load) ? program->hold_minutes_wrapped : program->hold_minutes_unwrapped;
  if (!wanted) return Told::open;
  return gaps::told(*temperature >= program->temperature_c && *hold >= *wanted);
}

Told dry_heat_by_readings(const gaps::Load& load, const sop::Sop& sop) {
  const auto temperature = load.ended->number("temperature_c");
  const auto hold = load.ended->number("hold_min");
  if (!temperature || !hold || sop.dry_heat_pairs.empty()) return Told::open;
  return gaps::told(std::any_of(
      sop.dry_heat_pairs.begin(), sop.dry_heat_pairs.end(),
      [&](const sop::DryHeatPair& pair) { return *temperature >= pair.temperature_c && *hold >= pair.minutes; }));
}

Told long_enough(const gaps::Load& load, const std::optional<double>& wanted, std::int64_t unit_ms) {
  if (!wanted || load.started == nullptr || load.ended == nullptr) return Told::open;
  return !gaps::shorter(gaps::elapsed(load.start(), load.end()), *wanted, unit_ms);
}

Told chemical(const gaps::Facts& facts, const gaps::Load& load, const sop::Sop& sop) {
  if (load.solution == nullptr) return Told::open;
  const sop::Disinfectant* agent = gaps::disinfectant_of(*load.solution, sop);
  if (agent == nullptr) return Told::open;
  const bool sterilize = load.method == "chemical-sterilization";
  Told answer = sterilize ? long_enough(load, agent->sterilize_hours, hour_ms)
                          : long_enough(load, agent->disinfect_minutes, minute_ms);
  if (agent->temperature_c_min) {
    const auto read = load.ended == nullptr ? std::nullopt : load.ended->number("temperature_c");
    answer = answer && (read ? gaps::told(*read >= *agent->temperature_c_min) : Told::open);
  }
  const gaps::OutsideLife outside = gaps::outside_life(facts, load);
  return outside.not_stated ? answer : answer && !outside.is;
}

}  // namespace

Told reached(const gaps::Facts& facts, const gaps::Load& load) {
  if (!load.has_time()) return Told::open;
  const Told complete = load.complete();
  const sop::Sop& sop = facts.sop_at(load.start());
  if (!load.curves.empty()) return complete && by_curves(load);
  if (load.method == "boiling" || load.method == "steaming")
    return complete && long_enough(load, sop.boiling_minutes, minute_ms);
  if (events::is_chemical(load.method)) return complete && chemical(facts, load, sop);
  if (load.ended == nullptr) return Told::open;
  if (events::is_steam(load.method)) return complete && steam_by_readings(load, sop);
  if (load.method == "dry-heat") return complete && dry_heat_by_readings(load, sop);
  return complete && Told::open;  // thermal disinfection is told by its A0 alone, and that needs a curve
}

}  // namespace trayproof::review
