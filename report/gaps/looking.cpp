#include "report/gaps/looking.h"

namespace trayproof::gaps {

Seqs held_seqs(const Load& load, const Pack& pack) {
  Seqs out{begun_seq(load)};
  const auto names = [&](const Record& event, std::string_view field) {
    const auto packs = event.texts(field);
    return std::find(packs.begin(), packs.end(), pack.id) != packs.end();
  };
  bool inside = load.started != nullptr && names(*load.started, "packs");
  for (const Record* change : load.changes) {
    if (inside && names(*change, "removed")) {
      inside = false;
      out.resize(1);
    } else if (!inside && names(*change, "added")) {
      inside = true;
      out.push_back(change->seq);
    }
  }
  return out;
}

Seqs earliest_ground(const std::vector<Seqs>& grounds) {
  const auto completed = [](const Seqs& ground) { return *std::max_element(ground.begin(), ground.end()); };
  const auto best = std::min_element(grounds.begin(), grounds.end(),
                                     [&](const Seqs& a, const Seqs& b) { return completed(a) < completed(b); });
  return best == grounds.end() ? Seqs{} : *best;
}

const Load& first_load(const Pack& pack) {
  CHECK(!pack.loads.empty());
  return **std::min_element(pack.loads.begin(), pack.loads.end(), [](const Load* a, const Load* b) {
    return a->start().at != b->start().at ? a->start().at < b->start().at : a->id < b->id;
  });
}

LastInspection last_inspection(const Pack& pack) {
  LastInspection last;
  for (const TurnStep& step : pack.turn) {
    if (step.record->kind->name != "inspected") continue;
    const bool overlaps = last.record != nullptr && later(step.record->at, last.record->at) != Told::yes &&
                          step.record->at.earliest != step.record->at.latest;
    last = {step.record, step.certain && !overlaps};
  }
  return last;
}

namespace {

template <typename Ask>
Told ask_inspection(const Pack& pack, Ask ask) {
  if (!pack.told_apart) return Told::open;
  const LastInspection last = last_inspection(pack);
  if (last.record == nullptr || !last.certain) return Told::open;
  return ask(*last.record);
}

}  // namespace

Told inspection_found(const Pack& pack, std::string_view what) {
  return ask_inspection(pack, [&](const Record& one) {
    const auto found = one.texts("found");
    if (std::find(found.begin(), found.end(), what) != found.end()) return Told::yes;
    return one.has("found") ? Told::no : Told::open;
  });
}

Told inspection_found_something(const Pack& pack) {
  return ask_inspection(pack, [](const Record& one) {
    if (one.count("found") != 0 || one.count("missing") != 0) return Told::yes;
    if (one.has("found")) return Told::no;
    return one.mark("found") == Mark::not_done ? Told::yes : Told::open;
  });
}

Told turn_has(const Pack& pack, std::string_view kind) {
  if (pack.packed == nullptr || pack.set.empty() || !pack.told_apart) return Told::open;
  Told answer = Told::no;
  for (const TurnStep& step : pack.turn) {
    if (step.record->kind->name == kind) answer = answer || (step.certain ? Told::yes : Told::open);
  }
  return answer;
}

std::optional<double> hours_wanted(const Facts& facts, const Biological& reading) {
  if (reading.hours_wanted_by_lot) return reading.hours_wanted_by_lot;
  return facts.sop_at(reading.record->at).biological_hours;
}

bool is_valid_negative(const Facts& facts, const Biological& reading) {
  if (!reading.counts) return false;
  const auto wanted = hours_wanted(facts, reading);
  const auto hours = reading.record->number("hours");
  return !wanted || (hours && *hours >= *wanted);
}

const sop::Disinfectant* disinfectant_of(const Solution& solution, const sop::Sop& sop) {
  return solution.prepared == nullptr ? nullptr : sop.disinfectant(solution.agent());
}

LifeEnd life_end(const Facts& facts, const Solution& solution) {
  if (solution.prepared == nullptr) return {std::nullopt, true};
  const Record& prepared = *solution.prepared;
  if (const auto expires = prepared.time("expires")) return {expires, false};
  if (prepared.mark("expires") == Mark::not_known) return {std::nullopt, true};
  const sop::Sop& sop = facts.sop_at(prepared.at);
  if (solution.use() == "decontamination") {
    if (!sop.decontamination.life_hours) return {};
    return {after(prepared.at, *sop.decontamination.life_hours, hour_ms), false};
  }
  const sop::Disinfectant* agent = disinfectant_of(solution, sop);
  if (agent == nullptr || !agent->life_days) return {};
  return {after(prepared.at, *agent->life_days, day_ms), false};
}

const sop::SteamProgram* program_of(const Load& load, const sop::Sop& sop) {
  if (load.started != nullptr) {
    if (const auto set = load.started->number("temperature_c")) return sop.program_for(*set);
  }
  for (const Curve* curve : load.curves) {
    if (const auto plateau = curve_part(*curve, "temperature_c", "mean")) return sop.program_for(*plateau);
  }
  if (load.ended != nullptr) {
    if (const auto read = load.ended->number("temperature_c")) return sop.program_for(*read);
  }
  return nullptr;
}

bool is_wrapped(const Load& load) {
  if (load.packs_unknown() || load.started == nullptr) return true;
  return std::any_of(load.packs.begin(), load.packs.end(),
                     [](const Pack* pack) { return pack->counted_wrap() != "unwrapped"; });
}

std::optional<double> curve_number(const Curve& curve, std::string_view field) {
  return curve.judged == nullptr                   ? std::nullopt
         : curve.judged->value(field)->is_number() ? std::optional(curve.judged->value(field)->number())
                                                   : std::nullopt;
}

std::optional<double> curve_part(const Curve& curve, std::string_view field, std::string_view part) {
  return curve.judged == nullptr ? std::nullopt : curve.judged->value(field)->number_at(part);
}

bool curve_found(const Curve& curve, std::string_view what) {
  if (curve.judged == nullptr) return false;
  const json::Value* findings = curve.judged->value("findings");
  if (!findings->is_list()) return false;
  const auto& items = findings->items();
  return std::any_of(items.begin(), items.end(), [&](const json::Value& one) { return one.text_at("what") == what; });
}

}  // namespace trayproof::gaps
