#include "importer/judging/verdict.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "importer/judging/course.h"
#include "importer/judging/curve.h"
#include "importer/judging/findings.h"
#include "importer/judging/integrity.h"
#include "importer/judging/placement.h"
#include "importer/physics/atmosphere.h"
#include "importer/physics/steam.h"

namespace trayproof::judging {
namespace {

constexpr double rounding_k = 1e-9;

double six(double value) {
  const double out = std::round(value * 1e6) / 1e6;
  return out == 0 ? 0 : out;
}

bool is_steam(std::string_view method) { return method == "steam-gravity" || method == "steam-prevacuum"; }
bool is_boiling(std::string_view method) { return method == "boiling" || method == "steaming"; }

double peak_c(const Series& series, const Stretch& stretch) {
  double best = -std::numeric_limits<double>::infinity();
  for (std::size_t i = stretch.first; i <= stretch.last; ++i) {
    for (std::size_t k = 0; k < series.in_load.size(); ++k) {
      if (series.in_load[k] && series.samples[i].temperature_c[k] > best) best = series.samples[i].temperature_c[k];
    }
  }
  return best;
}

// No place where people live has so little air; where a pressure was measured, it tells that air was drawn off.
std::string steam_method(const Series& series, const Stretch& stretch) {
  constexpr double vacuum_kpa = 50;
  for (std::size_t i = stretch.first; i <= stretch.last; ++i) {
    if (series.samples[i].pressure_kpa_abs < vacuum_kpa) return "steam-prevacuum";
  }
  return "steam-gravity";
}

// The edition in force when the cycle began; without a date the latest.
const sop::Edition* edition_for(const Surroundings& around, const std::optional<Instant>& from) {
  if (around.editions == nullptr || around.editions->empty()) return nullptr;
  if (from) return around.editions->at(*from);
  return &around.editions->all().back();
}

class Judge {
 public:
  Judge(const Series& series, const Stretch& stretch, const KnownLoad* load, const Surroundings& around)
      : series_(series), stretch_(stretch), load_(load), around_(around) {}

  Cycle run() {
    describe();
    const sop::Edition* edition = edition_for(around_, cycle_.from);
    if (edition != nullptr) {
      sop_ = &edition->sop;
      cycle_.sop_seq = edition->seq;
    } else {
      find("no-sop", {}, {});
    }
    curve_ = curve_of(series_, stretch_.first, stretch_.last, gap_s_max());
    if (is_steam(cycle_.method))
      steam();
    else if (cycle_.method == "dry-heat")
      dry_heat();
    else if (is_boiling(cycle_.method))
      boiling();
    else if (cycle_.method == "thermal-disinfection")
      thermal();
    else
      find("cold-method", {}, {});
    std::optional<HoldSamples> hold;
    if (plateau_) {
      hold = HoldSamples{.first = reading(plateau_->hold.first).sample,
                         .last = reading(plateau_->hold.last).sample,
                         .band_k = band_k_};
      cycle_.hold_first_row = hold->first;
      cycle_.hold_last_row = hold->last;
    }
    cycle_.band_k = band_k_;
    check_integrity(series_, stretch_, curve_, hold, cycle_.findings);
    check_clock();
    write_judged();
    tell_phases();
    cycle_.verdict = std::string(verdict_of(cycle_.findings));
    return std::move(cycle_);
  }

 private:
  const Reading& reading(std::size_t i) const { return curve_.readings[i]; }
  std::optional<double> gap_s_max() const { return sop_ != nullptr ? sop_->steam_gap_seconds_max : std::nullopt; }

  void find(std::string what, json::Value limit, json::Value found) {
    if (limit.is_number()) limit = six(limit.number());
    if (found.is_number()) found = six(found.number());
    cycle_.findings.push_back({std::move(what), std::move(limit), std::move(found)});
  }

  void describe() {
    cycle_.first_row = stretch_.first;
    cycle_.last_row = stretch_.last;
    cycle_.from = series_.samples[stretch_.first].at;
    cycle_.until = series_.samples[stretch_.last].at;
    cycle_.interval_s = series_.interval_s.value_or(0);
    cycle_.method = method_of(series_, stretch_, load_, around_.equipment_sort);
    if (load_ != nullptr) cycle_.load = load_->load;
  }

  // A least value: what, the limit, what was found.
  void check_least(std::string what, double limit, double found) {
    cycle_.checks.push_back({std::move(what), limit, six(found), six(found - limit)});
  }
  void check_most(std::string what, double limit, double found) {
    cycle_.checks.push_back({std::move(what), limit, six(found), six(limit - found)});
  }

  // Plateau and hold at that temperature, with what is told about them.
  void hold_at(double set_c) {
    cycle_.set_temperature_c = six(set_c);
    plateau_ = plateau_of(curve_, set_c, gap_s_max());
    if (!plateau_) {
      double highest = -std::numeric_limits<double>::infinity();
      for (const Reading& one : curve_.readings) highest = std::max(highest, one.cold_c);
      find("temperature-not-reached", set_c, std::isfinite(highest) ? json::Value(highest) : json::Value());
      return;
    }
    cycle_.hold_interpolated_min = six(plateau_->hold.minutes_interpolated);
    if (plateau_->lowest_below_set) find("temperature-below-band", set_c, *plateau_->lowest_below_set);
  }

  void require_minutes(double minutes, const char* short_name) {
    const double found = plateau_ ? plateau_->hold.minutes : 0;
    check_least("hold-minutes", minutes, found);
    if (!plateau_) return;  // temperature-not-reached was said
    const Hold& hold = plateau_->hold;
    const double rounding_min = 1e-9;
    if (hold.minutes + rounding_min < minutes) {
      const bool between = hold.minutes_interpolated + rounding_min >= minutes;
      find(between ? "hold-between-samples" : short_name, minutes, hold.minutes);
    } else if (hold.minutes_without_gap + rounding_min < minutes) {
      find("hold-with-holes", minutes, hold.gap_s);
    }
    if (gap_s_max() && hold.gap_s > *gap_s_max()) find("curve-with-holes", *gap_s_max(), hold.gap_s);
  }

  void steam() {
    const auto steady = steady_c(curve_);
    lethality_of_steam();
    if (sop_ == nullptr || !steady) return;
    if (sop_->steam_programs.empty()) {
      find("no-limit", {}, {});
      if (load_ != nullptr && load_->temperature_c) hold_at(*load_->temperature_c);
      return;
    }
    const double wanted = load_ != nullptr && load_->temperature_c ? *load_->temperature_c : *steady;
    const sop::SteamProgram* program = sop_->program_for(wanted);
    if (program == nullptr) {
      program = sop_->nearest_program(wanted);
      find("no-program", program->temperature_c, wanted);
    }
    band_k_ = program->band_k;
    hold_at(program->temperature_c);
    const auto minutes = minutes_of(*program);
    if (minutes)
      require_minutes(*minutes, "hold-too-short");
    else
      find("no-limit", {}, {});
    if (plateau_ && band_k_) above_band(program->temperature_c + *band_k_);
    saturation();
    if (program->f0_min) require_f0(*program->f0_min);
  }

  // The time for what is in the load; the strictest that the program states where no load is known.
  std::optional<double> minutes_of(const sop::SteamProgram& program) const {
    if (load_ != nullptr) return load_->any_wrapped ? program.hold_minutes_wrapped : program.hold_minutes_unwrapped;
    if (program.hold_minutes_wrapped && program.hold_minutes_unwrapped) {
      return std::max(*program.hold_minutes_wrapped, *program.hold_minutes_unwrapped);
    }
    return program.hold_minutes_wrapped ? program.hold_minutes_wrapped : program.hold_minutes_unwrapped;
  }

  void above_band(double limit_c) {
    double hottest = -std::numeric_limits<double>::infinity();
    for (std::size_t i = plateau_->hold.first; i <= plateau_->hold.last; ++i)
      hottest = std::max(hottest, reading(i).hot_c);
    check_most("band-top-c", limit_c, hottest);
    if (hottest > limit_c + rounding_k) find("temperature-above-band", limit_c, hottest);
  }

  // |T - T_sat(p)| in the hold: the coldest channel tells air, the hottest superheat.
  void saturation() {
    if (series_.pressure_unusable && sop_->steam_saturation_k) find("pressure-not-absolute", {}, {});
    if (plateau_) saturation_in_hold();
    const bool checked = difference_low_ || (!plateau_ && curve_.has_pressure);
    if (!checked && !series_.pressure_unusable) cycle_.saturation_unchecked_k = sop_->steam_saturation_k;
  }

  void saturation_in_hold() {
    for (std::size_t i = plateau_->hold.first; i <= plateau_->hold.last; ++i) {
      const auto at = physics::saturation_temperature({reading(i).pressure_kpa_abs});
      if (!at) continue;
      const double low = reading(i).cold_c - at->value;
      const double high = reading(i).hot_c - at->value;
      difference_low_ = std::min(difference_low_.value_or(low), low);
      difference_high_ = std::max(difference_high_.value_or(high), high);
    }
    if (!difference_low_ || !sop_->steam_saturation_k) return;
    const double limit = *sop_->steam_saturation_k;
    check_most("saturation-k", limit, std::max(std::abs(*difference_low_), std::abs(*difference_high_)));
    if (*difference_low_ < -limit - rounding_k) find("steam-not-saturated-air", limit, -*difference_low_);
    if (*difference_high_ > limit + rounding_k) find("steam-not-saturated-superheat", limit, *difference_high_);
  }

  void lethality_of_steam() {
    physics::Reference reference = physics::f0_reference;
    if (sop_ != nullptr && sop_->steam_f0_reference_c) reference.temperature.value = *sop_->steam_f0_reference_c;
    cycle_.f0_reference_c = reference.temperature.value;
    const auto found = physics::lethality(curve_.points, reference, gap_s_max());
    f0_ = found.seconds / 60;
    f0_low_ = found.seconds_low / 60;
    accuracy(reference, 60);
  }

  void accuracy(const physics::Reference& reference, double scale) {
    if (!around_.accuracy_k) return;
    const auto band = physics::accuracy_band(curve_.points, reference, gap_s_max(), *around_.accuracy_k);
    cycle_.band = json::Value::object();
    cycle_.band.set("low", six(band.seconds_low / scale));
    cycle_.band.set("high", six(band.seconds_high / scale));
  }

  void require_f0(double minutes) {
    check_least("f0-minutes", minutes, *f0_low_);
    if (*f0_low_ >= minutes) return;
    find(*f0_ >= minutes ? "lethality-between-samples" : "lethality-low", minutes, *f0_low_);
  }

  // Any pair of the SOP that is held is enough; of several the one nearest to the load's programme is told.
  void dry_heat() {
    const auto found = physics::lethality(curve_.points, physics::fh_reference, gap_s_max());
    fh_ = found.seconds / 60;
    accuracy(physics::fh_reference, 60);
    const auto steady = steady_c(curve_);
    if (sop_ == nullptr || !steady) return;
    if (sop_->dry_heat_pairs.empty()) return find("no-limit", {}, {});
    const double wanted = load_ != nullptr && load_->temperature_c ? *load_->temperature_c : *steady;
    const sop::DryHeatPair* nearest = nullptr;
    const sop::DryHeatPair* met = nullptr;
    const auto nearer = [&](const sop::DryHeatPair* best, const sop::DryHeatPair& next) {
      return best == nullptr || std::abs(next.temperature_c - wanted) < std::abs(best->temperature_c - wanted);
    };
    for (const sop::DryHeatPair& pair : sop_->dry_heat_pairs) {
      if (nearer(nearest, pair)) nearest = &pair;
      const auto plateau = plateau_of(curve_, pair.temperature_c, gap_s_max());
      if (plateau && plateau->hold.minutes_without_gap + 1e-9 >= pair.minutes && nearer(met, pair)) met = &pair;
    }
    if (met == nullptr && load_ == nullptr) nearest = longest_part(nearest);
    const sop::DryHeatPair& pair = met != nullptr ? *met : *nearest;
    hold_at(pair.temperature_c);
    require_minutes(pair.minutes, "dry-heat-pair-missed");
    if (!plateau_ && met == nullptr) find("dry-heat-pair-missed", pair.minutes, 0);
  }

  // With no load the pair of which the greatest part was held.
  const sop::DryHeatPair* longest_part(const sop::DryHeatPair* otherwise) const {
    double most = 0;
    for (const sop::DryHeatPair& pair : sop_->dry_heat_pairs) {
      const auto plateau = plateau_of(curve_, pair.temperature_c, gap_s_max());
      if (!plateau || !(plateau->hold.minutes / pair.minutes > most)) continue;
      most = plateau->hold.minutes / pair.minutes;
      otherwise = &pair;
    }
    return otherwise;
  }

  // Water boils at the saturation temperature of the room's pressure. Without an altitude the steady temperature stands
  // for it. A probe on the lid or in the water reads a little below: by the SOP's saturation limit, else its accuracy.
  void boiling() {
    a0();
    const auto steady = steady_c(curve_);
    if (sop_ == nullptr || !steady) return;
    const auto room = around_.altitude_m ? physics::standard_pressure(*around_.altitude_m) : std::nullopt;
    const auto boils = room ? physics::saturation_temperature(*room) : std::nullopt;
    constexpr double probe_k = 1;
    const double below = sop_->steam_saturation_k.value_or(around_.accuracy_k.value_or(probe_k));
    hold_at((boils ? boils->value : *steady) - below);
    if (!sop_->boiling_minutes) return find("no-limit", {}, {});
    require_minutes(*sop_->boiling_minutes, "hold-too-short");
  }

  void a0() {
    const auto found = physics::lethality(curve_.points, physics::a0_reference, gap_s_max());
    a0_ = found.seconds;
    a0_low_ = found.seconds_low;
    accuracy(physics::a0_reference, 1);
  }

  void thermal() {
    a0();
    if (sop_ == nullptr) return;
    hold_at(load_ != nullptr && load_->temperature_c ? *load_->temperature_c
                                                     : physics::a0_reference.counted_from->value);
    if (!sop_->washer_a0_min) return find("no-limit", {}, {});
    const double limit = *sop_->washer_a0_min;
    check_least("a0-seconds", limit, *a0_low_);
    if (*a0_low_ >= limit) return;
    find(*a0_ >= limit ? "a0-between-samples" : "a0-low", limit, *a0_low_);
  }

  void check_clock() {
    if (load_ == nullptr) return;
    cycle_.clock_offset_s = clock_offset_s(series_, stretch_, *load_);
    if (!cycle_.clock_offset_s || sop_ == nullptr) return;
    const double limit_s = sop_->records_clock_minutes * 60;
    if (std::abs(*cycle_.clock_offset_s) > limit_s) find("clock-off", limit_s, *cycle_.clock_offset_s);
  }

  std::optional<DateTime> local_time_of(std::size_t i) const {
    const auto& at = series_.samples[reading(i).sample].at;
    return at ? std::optional(around_.zone.local(*at)) : std::nullopt;
  }
  json::Value time_of(std::size_t i) const {
    const auto at = local_time_of(i);
    return at ? json::Value(format_date_time(*at)) : json::Value();
  }

  // Of the hold; without one of the whole stretch.
  void write_judged() {
    json::Value out = json::Value::object();
    json::Value hold;
    std::size_t first = 0;
    std::size_t last = curve_.readings.empty() ? 0 : curve_.readings.size() - 1;
    if (plateau_) {
      first = plateau_->hold.first;
      last = plateau_->hold.last;
      hold = json::Value::object();
      hold.set("from", time_of(first)).set("until", time_of(last)).set("minutes", six(plateau_->hold.minutes));
    }
    out.set("hold", std::move(hold));
    double low = 1e9;
    double high = -1e9;
    double sum = 0;
    double pressure_low = 1e9;
    double pressure_high = -1e9;
    for (std::size_t i = first; i <= last && i < curve_.readings.size(); ++i) {
      low = std::min(low, reading(i).cold_c);
      high = std::max(high, reading(i).hot_c);
      sum += reading(i).cold_c;
      if (std::isnan(reading(i).pressure_kpa_abs)) continue;
      pressure_low = std::min(pressure_low, reading(i).pressure_kpa_abs);
      pressure_high = std::max(pressure_high, reading(i).pressure_kpa_abs);
    }
    json::Value temperature;
    if (!curve_.readings.empty()) {
      temperature = json::Value::object();
      temperature.set("min", six(low))
          .set("max", six(high))
          .set("mean", six(sum / static_cast<double>(last - first + 1)));
    }
    out.set("temperature_c", std::move(temperature));
    out.set("pressure_kpa_abs",
            span(pressure_low <= pressure_high ? std::optional(pressure_low) : std::nullopt, pressure_high));
    out.set("saturation_difference_k", span(difference_low_, difference_high_.value_or(0)));
    const auto number = [](const std::optional<double>& value) {
      return value ? json::Value(six(*value)) : json::Value();
    };
    out.set("f0", number(f0_)).set("f0_low", number(f0_low_)).set("fh", number(fh_)).set("a0", number(a0_));
    cycle_.judged = std::move(out);
  }

  void tell_phases() {
    const auto room = around_.altitude_m ? physics::standard_pressure(*around_.altitude_m) : std::nullopt;
    const Heat heat = is_steam(cycle_.method) ? Heat::steam : Heat::other;
    const Course course = course_of(curve_, plateau_, heat, room ? room->value : physics::standard_pressure(0)->value);
    for (const Phase& one : course.phases) {
      cycle_.phases.push_back({.what = one.what,
                               .from = local_time_of(one.first),
                               .until = local_time_of(one.last),
                               .minutes = six((reading(one.last).at_s - reading(one.first).at_s) / 60)});
    }
    cycle_.pulses = static_cast<std::int64_t>(course.pulses);
  }

  static json::Value span(const std::optional<double>& low, double high) {
    if (!low) return {};
    json::Value out = json::Value::object();
    out.set("min", six(*low)).set("max", six(high));
    return out;
  }

  const Series& series_;
  const Stretch& stretch_;
  const KnownLoad* load_;
  const Surroundings& around_;
  const sop::Sop* sop_ = nullptr;
  Cycle cycle_;
  Curve curve_;
  std::optional<Plateau> plateau_;
  std::optional<double> band_k_;
  std::optional<double> difference_low_;
  std::optional<double> difference_high_;
  std::optional<double> f0_;
  std::optional<double> f0_low_;
  std::optional<double> fh_;
  std::optional<double> a0_;
  std::optional<double> a0_low_;
};

}  // namespace

Cycle judge(const Series& series, const Stretch& stretch, const KnownLoad* load, const Surroundings& around) {
  return Judge(series, stretch, load, around).run();
}

std::string method_of(const Series& series, const Stretch& stretch, const KnownLoad* load,
                      std::string_view equipment_sort) {
  if (load != nullptr && !load->method.empty()) return load->method;
  if (equipment_sort == "steam-sterilizer") return steam_method(series, stretch);
  if (equipment_sort == "dry-heat-sterilizer") return "dry-heat";
  if (equipment_sort == "boiler") return "boiling";
  if (equipment_sort == "washer-disinfector") return "thermal-disinfection";
  // By the curve: no saturated steam of this trade passes 145 °C, none boils under 85 °C in any inhabited place, and
  // water cannot pass 103 °C without pressure.
  const double top = peak_c(series, stretch);
  if (top > 145) return "dry-heat";
  if (top > 103) return steam_method(series, stretch);
  return "thermal-disinfection";
}

}  // namespace trayproof::judging
