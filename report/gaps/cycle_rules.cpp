// Rules about what happened inside the chamber: hold, temperature, steam, lethality, and whether it was recorded at
// all. The edition is the one in force when the load started; a finding arises when the load ended.
#include <algorithm>
#include <cmath>
#include <tuple>

#include "importer/physics/atmosphere.h"
#include "importer/physics/steam.h"
#include "ledger/events/kinds.h"
#include "report/gaps/families.h"
#include "report/gaps/looking.h"

namespace trayproof::gaps {
namespace {

// One value of a load: from its curves where it has any, else as read at the end, else as set at the start.
struct Reading {
  Told gap = Told::open;
  std::optional<double> found;
  std::int64_t seq = 0;  // of the judgement
};

// `is_gap` of a number read by hand; a marker `not-done` is a gap.
template <typename IsGap>
Reading by_hand(const Load& load, std::string_view field, IsGap is_gap) {
  if (load.ended == nullptr) return {};
  const Mark mark = load.ended->mark(field);
  if (mark != Mark::none) return {mark == Mark::not_done ? Told::yes : Told::open, std::nullopt, 0};
  std::optional<double> read = load.ended->number(field);
  if (!read && load.started != nullptr) read = load.started->number(field);
  if (!read) return {};
  return {told(is_gap(*read)), read, 0};
}

// The worst of the curves; `look` gives what one judged curve says.
template <typename Look>
Reading by_curves(const Load& load, Look look) {
  Reading worst{Told::no, std::nullopt, 0};
  for (const Curve* curve : load.curves) {
    Reading one;
    if (curve->judged != nullptr) {
      one = look(*curve);
      one.seq = curve->judged->seq;
    }
    const bool worse =
        (one.gap == Told::yes && worst.gap != Told::yes) || (one.gap == Told::open && worst.gap == Told::no);
    if (worse) worst = one;
  }
  return worst;
}

void say_of_load(Looked& looked, const Load& load, const Reading& reading, json::Value limit) {
  looked.say(reading.gap, load.end().at, load.id, [&] {
    Gap out{.at = load.end().at, .limit = std::move(limit), .rests_on = load.seqs()};
    if (reading.found) out.found = *reading.found;
    if (reading.seq != 0) out.rests_on.push_back(reading.seq);
    return out;
  });
}

template <typename Look>
void each_steam_load(const Facts& facts, Look look) {
  for (const Load* load : facts.loads_by_start) {
    if (events::is_steam(load->method)) look(*load, facts.sop_at(load->start()));
  }
}

// hold-too-short: the hold was under the least of the program for the strictest wrap in the load.
// Why: the time at temperature is the process. Example: 20 minutes at 121 °C with wrapped packs that want 30.
// Limits: steam.program hold_minutes_wrapped, hold_minutes_unwrapped. Source: Jhpiego/IARC manual, table C-1, p. 126.
void hold_too_short(const Facts& facts, Looked& looked) {
  each_steam_load(facts, [&](const Load& load, const sop::Sop& sop) {
    if (sop.steam_programs.empty()) return looked.not_stated(load.end().at);
    const sop::SteamProgram* program = program_of(load, sop);
    if (program == nullptr) return looked.cannot_tell(load.end().at, load.id);
    const auto limit = is_wrapped(load) ? program->hold_minutes_wrapped : program->hold_minutes_unwrapped;
    if (!limit) return looked.not_stated(load.end().at);
    const Reading reading = load.curves.empty() ? by_hand(load, "hold_min", [&](double read) { return read < *limit; })
                                                : by_curves(load, [&](const Curve& curve) {
                                                    const auto minutes = curve_part(curve, "hold", "minutes");
                                                    if (minutes && *minutes >= *limit)
                                                      return Reading{Told::no, minutes, 0};
                                                    // "If sampled hold < minimum ≤ interpolated hold: cannot-tell."
                                                    if (curve_found(curve, "hold-between-samples") ||
                                                        (!minutes && curve.verdict == "cannot-tell"))
                                                      return Reading{};
                                                    return Reading{Told::yes, minutes.value_or(0), 0};
                                                  });
    say_of_load(looked, load, reading, *limit);
  });
}

// temperature-below-band: the coldest reading in the hold was below the program's temperature.
// Why: a dip starts the hold again. Example: 119.8 °C in the seventh minute. Limits: steam.program temperature_c.
// Source: EN 285 and HTM 2010, from memory.
void temperature_below_band(const Facts& facts, Looked& looked) {
  each_steam_load(facts, [&](const Load& load, const sop::Sop& sop) {
    if (sop.steam_programs.empty()) return looked.not_stated(load.end().at);
    const sop::SteamProgram* program = program_of(load, sop);
    if (program == nullptr) return looked.cannot_tell(load.end().at, load.id);
    const double limit = program->temperature_c;
    const Reading reading = load.curves.empty()
                                ? by_hand(load, "temperature_c", [&](double read) { return read < limit; })
                                : by_curves(load, [&](const Curve& curve) {
                                    const auto coldest = curve_part(curve, "temperature_c", "min");
                                    const bool said = curve_found(curve, "temperature-below-band") ||
                                                      curve_found(curve, "temperature-not-reached");
                                    if (!coldest && !said) return Reading{};
                                    return Reading{told(said || *coldest < limit), said ? std::nullopt : coldest, 0};
                                  });
    say_of_load(looked, load, reading, limit);
  });
}

// temperature-above-band: the hottest reading in the hold was above the band.
// Why: superheated steam, or a thermometer that is off. Example: 126 °C where 121 to 124 is the band.
// Limits: steam.program temperature_c and band_k. Source: EN 285 and HTM 2010, from memory.
void temperature_above_band(const Facts& facts, Looked& looked) {
  each_steam_load(facts, [&](const Load& load, const sop::Sop& sop) {
    if (sop.steam_programs.empty()) return looked.not_stated(load.end().at);
    const sop::SteamProgram* program = program_of(load, sop);
    if (program == nullptr) return looked.cannot_tell(load.end().at, load.id);
    if (!program->band_k) return looked.not_stated(load.end().at);
    const Decimal top = Decimal::of(program->temperature_c) + Decimal::of(*program->band_k);
    const auto is_above = [&](double read) { return Decimal::of(read) > top; };
    const Reading reading =
        load.curves.empty() ? by_hand(load, "temperature_c", is_above) : by_curves(load, [&](const Curve& curve) {
          const auto hottest = curve_part(curve, "temperature_c", "max");
          const bool said = curve_found(curve, "temperature-above-band");
          if (!hottest && !said) return Reading{};
          return Reading{told(said || is_above(*hottest)), hottest, 0};
        });
    say_of_load(looked, load, reading, program->temperature_c + *program->band_k);
  });
}

// steam-not-saturated: temperature and pressure in the hold were farther apart than saturated steam allows.
// Why: colder means air, hotter means superheat, and neither kills as steam does. Example: 121 °C at 2.2 bar absolute.
// Limits: steam.saturation_k. Source: EN 285 and EN 13060, from memory; saturation by IAPWS-IF97.
void steam_not_saturated(const Facts& facts, Looked& looked) {
  each_steam_load(facts, [&](const Load& load, const sop::Sop& sop) {
    const auto limit = sop.steam_saturation_k;
    if (!limit) return looked.not_stated(load.end().at);
    Reading reading;
    if (!load.curves.empty()) {
      reading = by_curves(load, [&](const Curve& curve) {
        const auto low = curve_part(curve, "saturation_difference_k", "min");
        const auto high = curve_part(curve, "saturation_difference_k", "max");
        if (!low || !high) return Reading{};
        const double farther = std::abs(*low) > std::abs(*high) ? *low : *high;
        return Reading{told(std::abs(farther) > *limit), farther, 0};
      });
    }
    say_of_load(looked, load, reading, *limit);
  });
}

// pressure-low-for-altitude: the gauge pressure that the operator read cannot give the program's temperature at the
// height of the facility. Why: a gauge set for sea level gives 118 °C in the hills. Example: 103 kPa at 2,000 m.
// Limits: steam.pressure_slack_kpa, steam.program temperature_c; the facility's altitude. Source: IAPWS-IF97 and the
// International Standard Atmosphere; the slack: common practice, no source.
void pressure_low_for_altitude(const Facts& facts, Looked& looked) {
  each_steam_load(facts, [&](const Load& load, const sop::Sop& sop) {
    const auto slack = sop.steam_pressure_slack_kpa;
    if (!slack || sop.steam_programs.empty()) return looked.not_stated(load.end().at);
    const sop::SteamProgram* program = program_of(load, sop);
    const auto altitude = facts.altitude_m(load.start().at);
    const auto room = altitude ? physics::standard_pressure(*altitude) : std::nullopt;
    if (program == nullptr || !room) return looked.cannot_tell(load.end().at, load.id);
    const auto wanted = physics::saturation_pressure({program->temperature_c});
    if (!wanted) return looked.cannot_tell(load.end().at, load.id);
    const double least = physics::gauge(*wanted, *room).value - *slack;
    say_of_load(looked, load, by_hand(load, "pressure_kpa_gauge", [&](double read) { return read < least; }),
                std::round(least * 100) / 100);
  });
}

// lethality-low: the lower bound of F0 was under the program's least.
// Why: the sum of heat, not the plateau alone, kills. Example: F0 10.4 where 12 is asked for.
// Limits: steam.program f0_min, steam.f0_reference_c. Source: FAO Fisheries Technical Paper 285.
void lethality_low(const Facts& facts, Looked& looked) {
  each_steam_load(facts, [&](const Load& load, const sop::Sop& sop) {
    if (sop.steam_programs.empty()) return looked.not_stated(load.end().at);
    const sop::SteamProgram* program = program_of(load, sop);
    if (program == nullptr) return looked.cannot_tell(load.end().at, load.id);
    const auto limit = program->f0_min;
    if (!limit) return looked.not_stated(load.end().at);
    Reading reading;
    if (!load.curves.empty()) {
      reading = by_curves(load, [&](const Curve& curve) {
        const auto low = curve_number(curve, "f0_low");
        if (!low || curve_found(curve, "lethality-between-samples")) return Reading{};
        return Reading{told(*low < *limit), low, 0};
      });
    }
    say_of_load(looked, load, reading, *limit);
  });
}

// dry-heat-pair-missed: no pair of temperature and time of the SOP was met.
// Why: dry heat is slow, and the pairs are not equally lethal. Example: 160 °C for 90 minutes where 120 are asked for.
// Limits: dry_heat.pair. Source: Jhpiego/IARC manual.
void dry_heat_pair_missed(const Facts& facts, Looked& looked) {
  for (const Load* load : facts.loads_by_start) {
    if (load->method != "dry-heat") continue;
    const auto& pairs = facts.sop_at(load->start()).dry_heat_pairs;
    if (pairs.empty()) {
      looked.not_stated(load->end().at);
      continue;
    }
    Reading reading;
    if (!load->curves.empty()) {
      reading = by_curves(*load, [](const Curve& curve) {
        if (curve.verdict == "cannot-tell") return Reading{};
        return Reading{told(curve.verdict == "not-reached"), curve_part(curve, "hold", "minutes"), 0};
      });
    } else {
      const Reading hot = by_hand(*load, "temperature_c", [](double) { return false; });
      reading = by_hand(*load, "hold_min", [&](double minutes) {
        return std::none_of(pairs.begin(), pairs.end(), [&](const sop::DryHeatPair& pair) {
          return hot.found && *hot.found >= pair.temperature_c && minutes >= pair.minutes;
        });
      });
      if (hot.gap != Told::no && reading.gap != Told::open) reading.gap = hot.gap;
    }
    std::string limit;
    for (const sop::DryHeatPair& pair : pairs) {
      limit += (limit.empty() ? "" : ", ") + json::plain(pair.temperature_c) + "/" + json::plain(pair.minutes);
    }
    say_of_load(looked, *load, reading, limit);
  }
}

bool has_operator_reading(const Load& load) {
  if (load.ended == nullptr) return false;
  return load.ended->has("temperature_c") || load.ended->has("pressure_kpa_gauge") || load.ended->has("hold_min");
}

// no-physical-record: a load of steam, dry heat or thermal disinfection with neither a curve nor any reading of the
// operator. Why: an indicator alone says little. Example: start and end noted, the gauge not.
// Limits: none. Source: WHO/PAHO 2016, from memory.
void no_physical_record(const Facts& facts, Looked& looked) {
  for (const Load* load : facts.loads_by_start) {
    const std::string& method = load->method;
    if (!events::is_steam(method) && method != "dry-heat" && method != "thermal-disinfection") continue;
    Told gap = told(load->curves.empty() && !has_operator_reading(*load));
    if (gap == Told::yes && load->ended != nullptr) {
      for (const std::string_view field : {"temperature_c", "pressure_kpa_gauge", "hold_min"}) {
        if (load->ended->mark(field) == Mark::not_known) gap = Told::open;
      }
    }
    looked.say(gap, load->end().at, load->id, [&] { return Gap{.at = load->end().at, .rests_on = load->seqs()}; });
  }
}

bool differ(const std::optional<double>& a, const std::optional<double>& b, const std::optional<double>& limit) {
  return a && b && limit && abs(Decimal::of(*a) - Decimal::of(*b)) > Decimal::of(*limit);
}

// readings-and-curve-differ: what the operator read and what the curve shows are farther apart than the SOP allows.
// Why: one of the two instruments, or the honesty of the entry, is in doubt. Example: "121" written, 117 measured.
// Limits: records.reading_k (against the mean of the hold), records.reading_minutes. Source: common practice, no
// source.
void readings_and_curve_differ(const Facts& facts, Looked& looked) {
  for (const Load* load : facts.loads_by_start) {
    if (load->curves.empty() || !has_operator_reading(*load)) continue;
    const sop::Sop& sop = facts.sop_at(load->start());
    if (!sop.records_reading_k && !sop.records_reading_minutes) {
      looked.not_stated(load->end().at);
      continue;
    }
    const auto read_c = load->ended->number("temperature_c");
    const auto read_min = load->ended->number("hold_min");
    std::optional<double> read;  // the one of the two that differs, on the first curve that does
    const Reading reading = by_curves(*load, [&](const Curve& curve) {
      const auto mean = curve_part(curve, "temperature_c", "mean");
      const auto minutes = curve_part(curve, "hold", "minutes");
      if (differ(read_c, mean, sop.records_reading_k)) {
        if (!read) read = read_c;
        return Reading{Told::yes, mean, 0};
      }
      if (differ(read_min, minutes, sop.records_reading_minutes)) {
        if (!read) read = read_min;
        return Reading{Told::yes, minutes, 0};
      }
      const bool compared =
          (read_c && mean && sop.records_reading_k) || (read_min && minutes && sop.records_reading_minutes);
      return Reading{compared ? Told::no : Told::open, std::nullopt, 0};
    });
    say_of_load(looked, *load, reading, read ? json::Value(*read) : json::Value());
  }
}

// readings-all-alike: so many loads in a row on one sterilizer with exactly the same readings of the operator. Each
// such row, however short, is one thing looked at; a load without readings ends it.
// Why: gauges do not repeat themselves; pens do. Example: 121, 103, 30 for a fortnight.
// Limits: records.alike_loads. Source: common practice, no source.
void readings_all_alike(const Facts& facts, Looked& looked) {
  for (const auto& [id, equipment] : facts.equipment) {
    std::vector<const Run*> alike;
    double limit = 0;
    const auto close = [&] {
      if (alike.empty()) return;
      if (static_cast<double>(alike.size()) < limit) {
        looked.holds(alike.back()->end.at);
      } else {
        const auto nth = static_cast<std::size_t>(limit) - 1;
        Gap out{.id = id, .at = alike[nth]->end.at, .found = static_cast<double>(alike.size()), .limit = limit};
        for (std::size_t i = 0; i < alike.size(); ++i)
          add(i <= nth ? out.rests_on : out.beside, Seqs{*alike[i]->end_seq});
        looked.gap(std::move(out));
      }
      alike.clear();
    };
    for (const Run* run : equipment.runs) {
      const auto stated = facts.sop_at(run->start).records_alike_loads;
      if (!stated) looked.not_stated(run->end.at);
      if (!stated || !run->has_readings()) {
        close();
        continue;
      }
      const auto readings = [](const Run& one) {
        return std::tie(one.temperature_c, one.pressure_kpa_gauge, one.hold_min);
      };
      if (!alike.empty() && readings(*alike.back()) != readings(*run)) close();
      limit = *stated;
      alike.push_back(run);
    }
    close();
  }
}

// curve-with-holes: samples are missing in the hold for longer than the limit.
// Why: what was not measured cannot be vouched for. Example: two minutes without a sample at 121 °C.
// Limits: steam.gap_seconds_max. Source: common practice, no source.
void curve_with_holes(const Facts& facts, Looked& looked) {
  for (const Load* load : facts.loads_by_start) {
    if (load->curves.empty()) continue;
    const auto limit = facts.sop_at(load->start()).steam_gap_seconds_max;
    if (!limit) {
      looked.not_stated(load->end().at);
      continue;
    }
    say_of_load(looked, *load,
                by_curves(*load,
                          [](const Curve& curve) {
                            return Reading{
                                told(curve_found(curve, "curve-with-holes") || curve_found(curve, "hold-with-holes")),
                                std::nullopt, 0};
                          }),
                *limit);
  }
}

// All that was worked out of a curve; nothing where that is too little to know it again by.
std::optional<std::string> likeness(const Curve& curve) {
  const bool lethal =
      std::ranges::any_of(std::initializer_list<std::string_view>{"f0", "fh", "a0"},
                          [&](std::string_view field) { return curve_number(curve, field).value_or(0) > 0; });
  if (!lethal || !curve_part(curve, "temperature_c", "mean")) return std::nullopt;
  json::Value all = json::Value::object();
  for (const std::string_view field : {"temperature_c", "pressure_kpa_abs", "f0", "f0_low", "fh", "a0"}) {
    all.set(field, *curve.judged->value(field));
  }
  return json::canonical(all);
}

// curve-repeated: the curve repeats that of another load: the importer said so, or everything worked out of it, to six
// decimals, is what was worked out of an earlier one.
// Why: a copied file proves nothing about this load. Example: Monday's export with Tuesday's dates.
// Limits: none. Source: common practice, no source.
void curve_repeated(const Facts& facts, Looked& looked) {
  std::map<std::string, const Load*> first;
  std::map<const Curve*, const Load*> twins;
  std::map<std::int64_t, std::pair<const Curve*, const Load*>> by_seq;
  for (const Load* load : facts.loads_by_start) {
    for (const Curve* curve : load->curves) by_seq[curve->seq] = {curve, load};
  }
  for (const auto& [seq, placed] : by_seq) {
    const auto known = likeness(*placed.first);
    if (!known) continue;
    const auto [place, added] = first.emplace(*known, placed.second);
    if (!added && place->second != placed.second) twins[placed.first] = place->second;
  }
  for (const Load* load : facts.loads_by_start) {
    if (load->curves.empty()) continue;
    const Load* twin = nullptr;
    const Reading reading = by_curves(*load, [&](const Curve& curve) {
      const auto found = twins.find(&curve);
      if (found != twins.end()) twin = found->second;
      return Reading{told(found != twins.end() || curve_found(curve, "curve-repeated")), std::nullopt, 0};
    });
    say_of_load(looked, *load, reading, twin != nullptr ? json::Value(twin->id) : json::Value());
  }
}

constexpr Rule rules[] = {
    {"hold-too-short", Severity::critical, "load", hold_too_short},
    {"temperature-below-band", Severity::critical, "load", temperature_below_band},
    {"temperature-above-band", Severity::major, "load", temperature_above_band},
    {"steam-not-saturated", Severity::critical, "load", steam_not_saturated},
    {"pressure-low-for-altitude", Severity::critical, "load", pressure_low_for_altitude},
    {"lethality-low", Severity::critical, "load", lethality_low},
    {"dry-heat-pair-missed", Severity::critical, "load", dry_heat_pair_missed},
    {"no-physical-record", Severity::major, "load", no_physical_record},
    {"readings-and-curve-differ", Severity::major, "load", readings_and_curve_differ},
    {"readings-all-alike", Severity::major, "equipment", readings_all_alike},
    {"curve-with-holes", Severity::critical, "load", curve_with_holes},
    {"curve-repeated", Severity::critical, "load", curve_repeated},
};

}  // namespace

std::span<const Rule> cycle_rules() { return rules; }

}  // namespace trayproof::gaps
