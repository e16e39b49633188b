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

namespace {

// What a curve held, else what its judgement looked for a program by.
std::optional<double> steady_of(const Curve& curve) {
  if (const auto plateau = curve_part(curve, "temperature_c", "mean")) return plateau;
  for (const std::string_view what : {"no-program", "temperature-not-reached"}) {
    if (const auto found = curve_finding(curve, what)) return found;
  }
  return std::nullopt;
}

// The hottest program whose temperature was reached, else the coldest there is.
const sop::SteamProgram* program_reached(const sop::Sop& sop, double temperature_c) {
  const sop::SteamProgram* reached = nullptr;
  const sop::SteamProgram* coldest = nullptr;
  for (const sop::SteamProgram& one : sop.steam_programs) {
    if (coldest == nullptr || one.temperature_c < coldest->temperature_c) coldest = &one;
    const bool hotter = reached == nullptr || one.temperature_c > reached->temperature_c;
    if (one.temperature_c <= temperature_c && hotter) reached = &one;
  }
  return reached != nullptr ? reached : coldest;
}

}  // namespace

const sop::SteamProgram* program_of(const Load& load, const sop::Sop& sop) {
  const auto set = load.started == nullptr ? std::nullopt : load.started->number("temperature_c");
  if (const auto* program = set ? sop.program_for(*set) : nullptr) return program;
  if (!load.curves.empty()) {
    // As the importer chose it: the minutes of the curve's hold were counted at that program's temperature.
    std::optional<double> wanted = set;
    for (const Curve* curve : load.curves) {
      if (!wanted) wanted = steady_of(*curve);
    }
    if (wanted) {
      const auto* program = sop.program_for(*wanted);
      return program != nullptr ? program : sop.nearest_program(*wanted);
    }
  }
  std::optional<double> read = load.ended == nullptr ? std::nullopt : load.ended->number("temperature_c");
  if (!read) read = set;
  if (!read) return nullptr;
  const auto* program = sop.program_for(*read);
  return program != nullptr ? program : program_reached(sop, *read);
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

namespace {

const json::Value* finding_of(const Curve& curve, std::string_view what) {
  if (curve.judged == nullptr) return nullptr;
  const json::Value* findings = curve.judged->value("findings");
  if (!findings->is_list()) return nullptr;
  const auto& items = findings->items();
  const auto one =
      std::find_if(items.begin(), items.end(), [&](const json::Value& item) { return item.text_at("what") == what; });
  return one == items.end() ? nullptr : &*one;
}

}  // namespace

bool curve_found(const Curve& curve, std::string_view what) { return finding_of(curve, what) != nullptr; }

std::optional<double> curve_finding(const Curve& curve, std::string_view what) {
  const json::Value* finding = finding_of(curve, what);
  return finding == nullptr ? std::nullopt : finding->number_at("found");
}

}  // namespace trayproof::gaps
