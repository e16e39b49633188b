// Rules about recipes and about loads that disinfect or sterilize by heat of water or by chemicals.
#include "ledger/events/kinds.h"
#include "report/gaps/families.h"
#include "report/gaps/looking.h"
#include "report/gaps/outside_life.h"

namespace trayproof::gaps {
namespace {

// disinfection-heat-low: the A0 of a washer's curve is under the SOP's least.
// Why: less heat than the SOP asks for what follows. Example: 80 °C for six minutes where A0 600 is asked for.
// Limits: washer.a0_min. Source: ISO 15883-1, seen in secondary pages.
void disinfection_heat_low(const Facts& facts, Looked& looked) {
  for (const Load* load : facts.loads_by_start) {
    if (load->method != "thermal-disinfection") continue;
    const auto limit = facts.sop_at(load->start()).washer_a0_min;
    if (!limit) {
      looked.not_stated(load->end().at);
      continue;
    }
    Told gap = load->curves.empty() ? Told::open : Told::no;
    const Curve* low = nullptr;
    for (const Curve* curve : load->curves) {
      const auto a0 = curve_number(*curve, "a0");
      const Told here = a0 ? told(*a0 < *limit) : Told::open;
      if (here == Told::yes) low = curve;
      gap = gap || here;
    }
    looked.say(gap, load->end().at, load->id, [&] {
      Gap out{.at = load->end().at, .found = *curve_number(*low, "a0"), .limit = *limit, .rests_on = load->seqs()};
      out.rests_on.push_back(low->judged->seq);
      return out;
    });
  }
}

// The recorded amounts of a recipe as a fraction: `above` / `below` per cent. Weight of powder counts in grams to the
// 100 ml of water, as the published formula has it (powder in g/l = wanted / available × 1000).
struct Recipe {
  Decimal above;
  Decimal below;
};
std::optional<Recipe> recipe_of(const Record& prepared) {
  const auto water = prepared.number("water_ml");
  const auto stock = prepared.number("stock_ml");
  const auto stock_percent = prepared.number("stock_percent");
  if (water && stock && stock_percent) {
    return Recipe{Decimal::of(*stock_percent) * Decimal::of(*stock), Decimal::of(*stock) + Decimal::of(*water)};
  }
  const auto powder = prepared.number("powder_g");
  const auto available = prepared.number("available_percent");
  if (water && powder && available) return Recipe{Decimal::of(*available) * Decimal::of(*powder), Decimal::of(*water)};
  return std::nullopt;
}

bool has_not_done_amount(const Record& prepared) {
  for (const std::string_view field :
       {"recipe", "stock_percent", "stock_ml", "water_ml", "available_percent", "powder_g"}) {
    if (prepared.mark(field) == Mark::not_done) return true;
  }
  return false;
}

// Only for people: the comparison itself is exact.
double strength_of(const Record& prepared) {
  const double water = *prepared.number("water_ml");
  if (const auto stock = prepared.number("stock_ml"))
    return *prepared.number("stock_percent") * *stock / (*stock + water);
  return *prepared.number("available_percent") * *prepared.number("powder_g") / water;
}

// recipe-off-target: the recorded amounts give a strength that is off the intended one by more than the tolerance.
// Why: a measure too much or too little is the commonest slip. Example: 1 part in 10 instead of 1 in 9 parts of water.
// Limits: decontamination.percent_tolerance. Source: formula WHO, Jhpiego/IARC manual; tolerance common practice, no
// source.
void recipe_off_target(const Facts& facts, Looked& looked) {
  for (const Record& prepared : facts.of("solution-prepared")) {
    if (prepared.flag("ready_to_use").value_or(false)) continue;
    const std::string_view use = prepared.text("use");
    if (!use.empty() && use != "decontamination") continue;
    const auto tolerance = facts.sop_at(prepared.at).decontamination.percent_tolerance;
    if (!tolerance) {
      looked.not_stated(prepared.at.at);
      continue;
    }
    const auto recipe = recipe_of(prepared);
    const auto percent = prepared.number("percent");
    Told gap = has_not_done_amount(prepared) ? Told::yes : Told::open;
    if (recipe && percent && !use.empty()) {
      // |above/below − percent| > tolerance × percent, without a division.
      const Decimal target = Decimal::of(*percent) * recipe->below;
      gap = told(abs(recipe->above - target) > Decimal::of(*tolerance) * target);
    }
    looked.say(gap, prepared.at.at, prepared.text("solution"), [&] {
      Gap out{.at = prepared.at.at, .rests_on = {prepared.seq}};
      if (percent) out.limit = *percent;
      if (recipe && recipe->below > Decimal(0)) out.found = strength_of(prepared);
      return out;
    });
  }
}

// Start to end of a load, as far as the record tells it.
std::optional<Elapsed> length(const Load& load) {
  if (load.started == nullptr || load.ended == nullptr) return std::nullopt;
  return elapsed(load.start(), load.end());
}

void look_at_length(const Load& load, double limit, std::int64_t unit_ms, Looked& looked) {
  const auto time = length(load);
  looked.say(time ? shorter(*time, limit, unit_ms) : Told::open, load.end().at, load.id, [&] {
    const double minutes = static_cast<double>(unit_ms) / static_cast<double>(minute_ms);
    return Gap{.at = load.end().at,
               .found = between(load.start(), load.end(), minute_ms),
               .limit = limit * minutes,
               .rests_on = load.seqs()};
  });
}

// disinfection-too-short: a chemical load shorter than the time of its agent (for sterilization the hours for that).
// Why: the product's time is what was tested. Example: twelve minutes in glutaraldehyde that wants twenty.
// Limits: disinfectant.disinfect_minutes, disinfectant.sterilize_hours. Source: CDC 2008 guideline, table 4.
void disinfection_too_short(const Facts& facts, Looked& looked) {
  for (const Load* load : facts.loads_by_start) {
    if (!events::is_chemical(load->method)) continue;
    if (load->solution == nullptr || load->solution->agent().empty()) {
      looked.cannot_tell(load->end().at, load->id);
      continue;
    }
    const sop::Disinfectant* agent = disinfectant_of(*load->solution, facts.sop_at(load->start()));
    const bool sterilize = load->method == "chemical-sterilization";
    const auto limit = agent == nullptr ? std::nullopt : sterilize ? agent->sterilize_hours : agent->disinfect_minutes;
    if (!limit) {
      looked.not_stated(load->end().at);
      continue;
    }
    look_at_length(*load, *limit, sterilize ? hour_ms : minute_ms, looked);
  }
}

// disinfection-too-cold: the temperature recorded at the end of a chemical load is under the least of its agent.
// Why: cold slows the agent down. Example: 15 °C in the morning. Limits: disinfectant.temperature_c_min.
// Source: CDC 2008 guideline, table 4.
void disinfection_too_cold(const Facts& facts, Looked& looked) {
  for (const Load* load : facts.loads_by_start) {
    if (!events::is_chemical(load->method)) continue;
    const bool known = load->solution != nullptr && !load->solution->agent().empty();
    const sop::Disinfectant* agent = known ? disinfectant_of(*load->solution, facts.sop_at(load->start())) : nullptr;
    if (known && (agent == nullptr || !agent->temperature_c_min)) {
      looked.not_stated(load->end().at);
      continue;
    }
    std::optional<double> read;
    for (const Record* one : {load->ended, load->started}) {
      if (!read && one != nullptr) read = one->number("temperature_c");
    }
    Told gap = known && read ? told(*read < *agent->temperature_c_min) : Told::open;
    if (!read && load->ended != nullptr && load->ended->mark("temperature_c") == Mark::not_done) gap = Told::yes;
    looked.say(gap, load->end().at, load->id, [&] {
      Gap out{.at = load->end().at, .rests_on = load->seqs()};
      if (read) out.found = *read;
      if (agent != nullptr) out.limit = *agent->temperature_c_min;
      return out;
    });
  }
}

// disinfectant-past-life: some part of a chemical load lies after the end of its solution's life or after it was
// discarded, or the solution was prepared to decontaminate and has no life as a disinfectant.
// Why: the agent is used up. Example: glutaraldehyde on day fifteen of fourteen.
// Limits: the solution's `expires`, else disinfectant.life_days. Source: CDC 2008 guideline, table 4.
void disinfectant_past_life(const Facts& facts, Looked& looked) {
  for (const Load* load : facts.loads_by_start) {
    if (!events::is_chemical(load->method)) continue;
    const OutsideLife outside = outside_life(facts, *load);
    if (outside.not_stated) {
      looked.not_stated(load->end().at);
      continue;
    }
    looked.say(outside.is, load->end().at, load->id, [&] {
      Gap out{.at = load->start().at, .rests_on = outside.rests_on, .beside = load->seqs()};
      if (outside.other_use) {
        out.found = std::string(load->solution->use());
        out.limit = load->method;
        out.says = "other-use";
        return out;
      }
      out.at = std::max(outside.over->at, load->start().at);
      out.found = local(facts, load->end().at);
      out.limit = local(facts, outside.over->at);
      if (load->solution->prepared != nullptr) out.beside.push_back(load->solution->prepared->seq);
      return out;
    });
  }
}

// boil-too-short: a boiling or steaming load shorter than the SOP's minutes.
// Why: the time counts from the rolling boil. Example: twelve minutes, then the theatre called.
// Limits: boiling.minutes. Source: Jhpiego/IARC manual, p. 130.
void boil_too_short(const Facts& facts, Looked& looked) {
  for (const Load* load : facts.loads_by_start) {
    if (load->method != "boiling" && load->method != "steaming") continue;
    const auto limit = facts.sop_at(load->start()).boiling_minutes;
    if (!limit) {
      looked.not_stated(load->end().at);
      continue;
    }
    look_at_length(*load, *limit, minute_ms, looked);
  }
}

constexpr Rule rules[] = {
    {"disinfection-heat-low", Severity::major, "load", disinfection_heat_low},
    {"recipe-off-target", Severity::major, "solution", recipe_off_target},
    {"disinfection-too-short", Severity::critical, "load", disinfection_too_short},
    {"disinfection-too-cold", Severity::critical, "load", disinfection_too_cold},
    {"disinfectant-past-life", Severity::critical, "load", disinfectant_past_life},
    {"boil-too-short", Severity::critical, "load", boil_too_short},
};

}  // namespace

std::span<const Rule> disinfection_rules() { return rules; }

}  // namespace trayproof::gaps
