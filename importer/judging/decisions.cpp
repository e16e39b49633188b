#include "importer/judging/decisions.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <set>

#include "importer/physics/atmosphere.h"
#include "importer/physics/steam.h"
#include "importer/physics/units.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"

namespace trayproof::judging {
namespace {

using reading::Quantity;
using reading::Reading;
using reading::Sense;
using reading::Unit;

constexpr double none = std::numeric_limits<double>::quiet_NaN();

std::optional<physics::TemperatureUnit> temperature_unit(const reading::ChannelColumn& channel) {
  if (!channel.unit) return std::nullopt;
  switch (channel.unit->unit) {
    case Unit::celsius:
      return physics::TemperatureUnit::celsius;
    case Unit::fahrenheit:
      return physics::TemperatureUnit::fahrenheit;
    case Unit::kelvin:
      return physics::TemperatureUnit::kelvin;
    default:
      return std::nullopt;
  }
}

std::optional<physics::PressureUnit> pressure_unit(const reading::ChannelColumn& channel) {
  if (!channel.unit) return std::nullopt;
  switch (channel.unit->unit) {
    case Unit::kpa:
      return physics::PressureUnit::kpa;
    case Unit::hpa:
      return physics::PressureUnit::hpa;
    case Unit::bar:
      return physics::PressureUnit::bar;
    case Unit::mpa:
      return physics::PressureUnit::mpa;
    case Unit::pa:
      return physics::PressureUnit::pa;
    case Unit::psi:
      return physics::PressureUnit::psi;
    case Unit::kgf_cm2:
      return physics::PressureUnit::kgf_cm2;
    case Unit::mmhg:
      return physics::PressureUnit::mmhg;
    case Unit::inhg:
      return physics::PressureUnit::inhg;
    case Unit::atm:
      return physics::PressureUnit::atm;
    default:
      return std::nullopt;
  }
}

struct Range {
  double lowest = none;
  double highest = none;
};

Range range_of(const Reading& reading, std::size_t channel) {
  if (channel >= reading.counts.size() || reading.counts[channel].present == 0) return {};
  return {reading.counts[channel].min, reading.counts[channel].max};
}

// A unit that the resting value proves: rooms are neither at 48 °F nor below, nor above 48 °C.
std::optional<Unit> unit_at_rest(const Range& range) {
  if (std::isnan(range.lowest)) return std::nullopt;
  if (range.lowest >= 230 && range.highest <= 700) return Unit::kelvin;
  if (range.lowest >= 48 && range.lowest <= 110 && range.highest > 205) return Unit::fahrenheit;
  if (range.lowest >= -20 && range.lowest < 48) return Unit::celsius;
  return std::nullopt;
}

bool names_place_beside(std::string_view name) {
  static const std::set<std::string, std::less<>> beside = {"ambient", "room",     "outside", "outdoor",  "jacket",
                                                            "cjc",     "internal", "board",   "junction", "umgebung",
                                                            "raum",    "ambiente", "ambiante"};
  const auto words = reading::words_of(name);
  return std::any_of(words.begin(), words.end(), [&](const std::string& word) { return beside.contains(word); });
}

// What a column without a name would be under a unit, beside the temperatures that the file names.
struct SteamRange {
  double coldest_c = 0;
  double hottest_c = 0;
  double room_kpa = 0;
};

constexpr std::array asked_pressures = {
    std::pair{"kPa", physics::PressureUnit::kpa},         std::pair{"bar", physics::PressureUnit::bar},
    std::pair{"mbar", physics::PressureUnit::hpa},        std::pair{"psi", physics::PressureUnit::psi},
    std::pair{"kgf/cm²", physics::PressureUnit::kgf_cm2}, std::pair{"MPa", physics::PressureUnit::mpa},
    std::pair{"mmHg", physics::PressureUnit::mmhg}};
constexpr std::size_t asked_always = 5;  // of these, the first

// Whether it may be the pressure of steam that was so hot: it comes near saturation, with room for much air, for
// superheat and for a wrong zero, and it moves as the temperatures do.
bool may_be_pressure(const Range& range, physics::PressureUnit unit, const SteamRange& steam) {
  constexpr double least_of_saturation = 0.5;
  constexpr double most_of_saturation = 2.5;
  constexpr double least_of_rise = 0.3;
  const auto hot = physics::saturation_pressure({steam.hottest_c});
  const auto cold = physics::saturation_pressure({steam.coldest_c});
  if (!hot) return false;
  const double low = physics::kilopascals(range.lowest, unit);
  const double high = physics::kilopascals(range.highest, unit);
  const double rise = hot->value - std::max(cold ? cold->value : 0, steam.room_kpa);
  if (high - low < least_of_rise * std::max(rise, 0.0)) return false;
  const auto near = [&](double top) {
    return top >= least_of_saturation * hot->value && top <= most_of_saturation * hot->value;
  };
  constexpr double zero_off_kpa = 5;
  return (near(high) && low >= -zero_off_kpa) || (near(high + steam.room_kpa) && low + steam.room_kpa >= -zero_off_kpa);
}

bool may_be_temperature(const Range& range, physics::TemperatureUnit unit, const SteamRange& steam) {
  constexpr double apart_k = 10;  // of two probes in one load
  constexpr double lowest_c = -25;
  const double high = physics::celsius(range.highest, unit).value;
  return std::abs(high - steam.hottest_c) <= apart_k && physics::celsius(range.lowest, unit).value >= lowest_c;
}

// To two places; null where no value was read, or none that a number can hold.
json::Value told(double value) {
  const double rounded = std::round(value * 100) / 100;
  return std::isfinite(rounded) ? json::Value(rounded) : json::Value();
}

class Decider {
 public:
  Decider(Reading& reading, const SeriesOptions& options, const std::optional<double>& rest_kpa)
      : reading_(reading), options_(options), rest_kpa_(rest_kpa) {
    for (std::size_t i = 0; i < reading_.channels.size(); ++i) {
      const Quantity quantity = reading_.channels[i].quantity;
      if (quantity == Quantity::temperature) temperatures_.push_back(i);
      if (quantity == Quantity::pressure) pressures_.push_back(i);
      if (quantity == Quantity::barometer && pressure_unit(reading_.channels[i])) {
        out_.barometer = PressureUse{i, *pressure_unit(reading_.channels[i])};
      }
    }
  }

  Decisions run() {
    if (temperatures_.empty()) ask_unnamed();
    for (const std::size_t channel : temperatures_) settle_temperature(channel);
    choose_pressure();
    if (!temperatures_.empty()) tell_unnamed();
    return std::move(out_);
  }

 private:
  const std::string& name(std::size_t channel) const { return reading_.channels[channel].name; }

  void note(std::string text) { out_.notes.push_back(std::move(text)); }

  json::Value unit_choice(std::size_t channel, std::string_view unit) const {
    const Range range = range_of(reading_, channel);
    const auto say_value = [&](double value) -> json::Value {
      if (std::isnan(value)) return {};
      const physics::TemperatureUnit as = unit == "K"    ? physics::TemperatureUnit::kelvin
                                          : unit == "°F" ? physics::TemperatureUnit::fahrenheit
                                                         : physics::TemperatureUnit::celsius;
      return std::round(physics::celsius(value, as).value * 100) / 100;
    };
    json::Value choice = json::Value::object();
    choice.set("value", name(channel) + "=" + std::string(unit));
    choice.set("channel", name(channel));
    choice.set("min_c", say_value(range.lowest));
    choice.set("max_c", say_value(range.highest));
    return choice;
  }

  void ask_unit(std::size_t channel, bool may_be_pressure = false) {
    reading::Ask ask{.what = "unit", .choices = {}, .option = "--unit"};
    for (const std::string_view unit : {"°C", "°F", "K"}) ask.choices.push_back(unit_choice(channel, unit));
    if (may_be_pressure) add_pressure_choices(channel, ask);
    out_.asks.push_back(std::move(ask));
  }

  // Holds numbers, and neither a name nor a unit nor a person says of what.
  bool is_unnamed(std::size_t channel) {
    if (reading_.channels[channel].quantity != Quantity::other || reading_.channels[channel].unit ||
        reading::guess_of(name(channel)) == reading::Guess::ignored || std::isnan(range_of(reading_, channel).lowest))
      return false;
    const auto& said = options_.left_out;
    if (std::find(said.begin(), said.end(), name(channel)) == said.end()) return true;
    out_.left_out.push_back(name(channel));
    return false;
  }

  // No channel is known to be a temperature: each number without a name that says so may be one, or a pressure.
  void ask_unnamed() {
    for (std::size_t i = 0; i < reading_.channels.size() && out_.asks.size() < 8; ++i) {
      if (is_unnamed(i)) ask_unit(i, true);
    }
  }

  // What the named temperatures say of the steam, where they were hot enough to hang on its pressure.
  std::optional<SteamRange> steam_range() const {
    constexpr double boils_c = 103;  // as `method_of` takes a curve for steam
    constexpr double dry_heat_c = 145;
    SteamRange out{.coldest_c = none, .hottest_c = none, .room_kpa = physics::standard_pressure(0)->value};
    if (const auto room = options_.altitude_m ? physics::standard_pressure(*options_.altitude_m) : std::nullopt)
      out.room_kpa = room->value;
    for (std::size_t k = 0; k < out_.probes.size(); ++k) {
      const Range range = range_of(reading_, out_.probes[k].channel);
      if (!out_.in_load[k] || std::isnan(range.lowest)) continue;
      const double low = physics::celsius(range.lowest, out_.probes[k].unit).value;
      const double high = physics::celsius(range.highest, out_.probes[k].unit).value;
      if (!(out.coldest_c <= low)) out.coldest_c = low;
      if (!(out.hottest_c >= high)) out.hottest_c = high;
    }
    if (!(out.hottest_c > boils_c) || out.hottest_c > dry_heat_c) return std::nullopt;
    return out;
  }

  // Columns that nothing names beside temperatures that are named: asked where one may be the pressure that the SOP's
  // limit needs, else told.
  void tell_unnamed() {
    const bool open = !out_.asks.empty();
    const auto steam = options_.needs_pressure && !out_.pressure && !open ? steam_range() : std::nullopt;
    for (std::size_t i = 0; i < reading_.channels.size(); ++i) {
      if (!is_unnamed(i)) continue;
      const Range range = range_of(reading_, i);
      const bool pressure = steam && std::any_of(asked_pressures.begin(), asked_pressures.end(), [&](const auto& one) {
                              return may_be_pressure(range, one.second, *steam);
                            });
      if (pressure && out_.asks.size() < 8) {
        ask_beside(i, *steam);
      } else {
        note(
            say("importer.note.column-unnamed",
                {{"channel", name(i)}, {"min", number_here(range.lowest, 2)}, {"max", number_here(range.highest, 2)}}));
      }
    }
  }

  void ask_beside(std::size_t channel, const SteamRange& steam) {
    const Range range = range_of(reading_, channel);
    reading::Ask ask{.what = "unit", .choices = {}, .option = "--unit"};
    for (const auto& [unit, as] : {std::pair{"°C", physics::TemperatureUnit::celsius},
                                   {"°F", physics::TemperatureUnit::fahrenheit},
                                   {"K", physics::TemperatureUnit::kelvin}}) {
      if (may_be_temperature(range, as, steam)) ask.choices.push_back(unit_choice(channel, unit));
    }
    for (const auto& [unit, factor] : asked_pressures) {
      if (may_be_pressure(range, factor, steam)) ask.choices.push_back(pressure_choice(channel, unit, factor));
    }
    ask.choices.push_back(json::Value::object()
                              .set("value", name(channel) + "=" + std::string(no_unit))
                              .set("channel", name(channel))
                              .set("min", told(range.lowest))
                              .set("max", told(range.highest)));
    out_.asks.push_back(std::move(ask));
  }

  void settle_temperature(std::size_t channel) {
    reading::ChannelColumn& column = reading_.channels[channel];
    out_.temperatures.push_back(column.name);
    out_.in_load.push_back(!names_place_beside(column.name));
    const Range range = range_of(reading_, channel);
    if (std::isnan(range.lowest)) {
      note(say("importer.note.channel-empty", {{"channel", column.name}}));
    } else if (!out_.in_load.back()) {
      note(say("importer.note.channel-beside", {{"channel", column.name}}));
    }
    out_.probes.push_back({channel, temperature_unit(column).value_or(physics::TemperatureUnit::celsius)});
    if (column.unit || std::isnan(range.lowest)) return;
    const auto found = unit_at_rest(range);
    if (!found) return ask_unit(channel);
    column.unit = reading::UnitName{*found, Sense::unknown};
    column.unit_text = std::string(reading::name_of(*found));
    out_.probes.back().unit = *temperature_unit(column);
    note(say("importer.note.unit-by-rest",
             {{"channel", column.name}, {"unit", column.unit_text}, {"value", number_here(range.lowest, 1)}}));
  }

  void choose_pressure() {
    // Before any row was read all of them may speak yet.
    std::erase_if(pressures_, [&](std::size_t channel) {
      const bool silent = reading_.rows > 0 && std::isnan(range_of(reading_, channel).lowest);
      if (silent) note(say("importer.note.channel-empty", {{"channel", name(channel)}}));
      if (!silent && !pressure_unit(reading_.channels[channel])) {
        ask_pressure_unit(channel);
        return true;
      }
      return silent;
    });
    if (pressures_.empty()) return;
    std::stable_sort(pressures_.begin(), pressures_.end(), [&](std::size_t a, std::size_t b) {
      return !names_place_beside(name(a)) && names_place_beside(name(b));
    });
    const std::size_t used = pressures_.front();
    for (std::size_t i = 1; i < pressures_.size(); ++i) {
      note(say("importer.note.pressure-other", {{"channel", name(pressures_[i])}, {"used", name(used)}}));
    }
    out_.pressure = PressureUse{used, *pressure_unit(reading_.channels[used])};
    out_.pressure_name = name(used);
    out_.pressure_sense = sense_of(used);
    if (const auto standard = options_.altitude_m ? physics::standard_pressure(*options_.altitude_m) : std::nullopt) {
      out_.ambient_kpa = standard->value;
    }
    if (out_.pressure_sense == Sense::gauge && !out_.ambient_kpa && !out_.barometer) {
      out_.pressure_unusable = true;
      note(say("importer.note.pressure-not-used", {{"channel", name(used)}}));
    }
  }

  json::Value pressure_choice(std::size_t channel, std::string_view unit, physics::PressureUnit factor) const {
    const Range range = range_of(reading_, channel);
    return json::Value::object()
        .set("value", name(channel) + "=" + std::string(unit))
        .set("channel", name(channel))
        .set("min_kpa", told(physics::kilopascals(range.lowest, factor)))
        .set("max_kpa", told(physics::kilopascals(range.highest, factor)));
  }

  void add_pressure_choices(std::size_t channel, reading::Ask& ask) const {
    for (std::size_t i = 0; i < asked_always; ++i) {
      const auto& [unit, factor] = asked_pressures[i];
      ask.choices.push_back(pressure_choice(channel, unit, factor));
    }
  }

  void ask_pressure_unit(std::size_t channel) {
    reading::Ask ask{.what = "unit", .choices = {}, .option = "--unit"};
    add_pressure_choices(channel, ask);
    out_.asks.push_back(std::move(ask));
  }

  Sense sense_of(std::size_t channel) {
    if (options_.pressure) return *options_.pressure;
    const reading::ChannelColumn& column = reading_.channels[channel];
    if (column.unit && column.unit->sense != Sense::unknown) return column.unit->sense;
    for (const reading::Metadata& line : reading_.metadata) {
      const bool about =
          reading::guess_of(line.key) == reading::Guess::pressure || line.key.find(column.name) != std::string::npos;
      const Sense sense = reading::sense_in(line.value);
      if (about && sense != Sense::unknown) return sense;
    }
    out_.sense_by_rest = true;
    const std::optional<double>& rest = rest_kpa_;
    constexpr double weather_kpa = 12;  // weather, altitude told roughly and a sensor's zero together stay within it
    Sense sense = Sense::unknown;
    // At rest a gauge shows nothing. What shows the pressure of some inhabited place is absolute, even
    // where the altitude that the facility recorded says another.
    if (rest && std::abs(*rest) <= weather_kpa) sense = Sense::gauge;
    if (rest && *rest >= 50 && *rest <= 110) sense = Sense::absolute;
    if (sense != Sense::unknown) {
      note(say("importer.note.pressure-by-rest", {{"channel", column.name},
                                                  {"sense", sense == Sense::gauge ? "gauge" : "absolute"},
                                                  {"value", number_here(*rest, 1)}}));
      return sense;
    }
    ask_sense(channel);
    return Sense::unknown;
  }

  void ask_sense(std::size_t channel) {
    const auto standard = options_.altitude_m ? physics::standard_pressure(*options_.altitude_m) : std::nullopt;
    const Range shown = range_of(reading_, channel);
    const physics::PressureUnit unit = out_.pressure->unit;
    const Range range{physics::kilopascals(shown.lowest, unit), physics::kilopascals(shown.highest, unit)};
    reading::Ask ask{.what = "pressure", .choices = {}, .option = "--pressure"};
    for (const bool gauge : {true, false}) {
      const double added = gauge ? (standard ? standard->value : none) : 0;
      json::Value choice = json::Value::object();
      choice.set("value", gauge ? "gauge" : "absolute");
      choice.set("channel", name(channel));
      choice.set("min_kpa_abs", told(range.lowest + added));
      choice.set("max_kpa_abs", told(range.highest + added));
      ask.choices.push_back(std::move(choice));
    }
    out_.asks.push_back(std::move(ask));
  }

  Reading& reading_;
  const SeriesOptions& options_;
  const std::optional<double>& rest_kpa_;
  Decisions out_;
  std::vector<std::size_t> temperatures_;
  std::vector<std::size_t> pressures_;
};

}  // namespace

Decisions decide(Reading& reading, const SeriesOptions& options, const std::optional<double>& rest_kpa) {
  return Decider(reading, options, rest_kpa).run();
}

}  // namespace trayproof::judging
