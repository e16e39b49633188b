#include "importer/register/amounts.h"

#include <cmath>
#include <string>

#include "importer/physics/units.h"
#include "importer/reading/records.h"
#include "ledger/base/check.h"
#include "ledger/text/unicode.h"

namespace trayproof::registers {
namespace {

using reading::Unit;

physics::TemperatureUnit temperature_unit(Unit unit) {
  switch (unit) {
    case Unit::celsius:
      return physics::TemperatureUnit::celsius;
    case Unit::fahrenheit:
      return physics::TemperatureUnit::fahrenheit;
    default:
      return physics::TemperatureUnit::kelvin;
  }
}

physics::PressureUnit pressure_unit(Unit unit) {
  using enum physics::PressureUnit;
  switch (unit) {
    case Unit::kpa:
      return kpa;
    case Unit::hpa:
      return hpa;
    case Unit::bar:
      return bar;
    case Unit::mpa:
      return mpa;
    case Unit::pa:
      return pa;
    case Unit::psi:
      return psi;
    case Unit::kgf_cm2:
      return kgf_cm2;
    case Unit::mmhg:
      return mmhg;
    case Unit::inhg:
      return inhg;
    case Unit::atm:
      return atm;
    default:
      CHECK(false);
  }
}

double seconds_of(Unit unit) {
  switch (unit) {
    case Unit::millisecond:
      return 0.001;
    case Unit::second:
      return 1;
    case Unit::minute:
      return 60;
    case Unit::hour:
      return 3600;
    default:
      return 86400;
  }
}

double rounded_to_6(double value) { return std::round(value * 1e6) / 1e6; }

std::optional<double> turned(double value, const AmountUnit& unit, std::string_view field) {
  const bool has_known = unit.known.has_value();
  const Unit known = has_known ? unit.known->unit : Unit::percent;
  const bool temperature = has_known && reading::is_temperature(known);
  const bool time = has_known && reading::is_time(known);
  if (field.ends_with("_c") && temperature) return physics::celsius(value, temperature_unit(known)).value;
  if (field.ends_with("_k") && temperature) return physics::kelvins(value, temperature_unit(known));
  // The air outside is not known here: an absolute pressure cannot be told as a gauge's.
  if (field.starts_with("pressure_kpa") && has_known && reading::is_pressure(known) &&
      unit.known->sense != reading::Sense::absolute)
    return physics::kilopascals(value, pressure_unit(known));
  if (field.ends_with("_kpa") && has_known && reading::is_pressure(known))
    return physics::kilopascals(value, pressure_unit(known));
  if (field.ends_with("_min") && time) return value * seconds_of(known) / 60;
  if (field.ends_with("hours") && time) return value * seconds_of(known) / 3600;
  if (field.ends_with("percent") && has_known && known == Unit::percent) return value;
  if (field.ends_with("percent") && unit.share) return value / 10'000;
  if (field.ends_with("_ml") && unit.volume) return unit.volume == Volume::litre ? value * 1000 : value;
  if (field.ends_with("_g") && unit.mass)
    return unit.mass == Mass::kilogram ? value * 1000 : unit.mass == Mass::milligram ? value / 1000 : value;
  return std::nullopt;
}

}  // namespace

std::optional<AmountUnit> unit_of(std::string_view text) {
  text = reading::trimmed(text);
  AmountUnit unit;
  const std::string name = folded(text);
  if (name == "ml" || name == "cc" || name == "millilitre" || name == "millilitres" || name == "milliliter") {
    unit.volume = Volume::millilitre;
  } else if (name == "l" || name == "litre" || name == "litres" || name == "liter" || name == "liters") {
    unit.volume = Volume::litre;
  } else if (name == "g" || name == "gram" || name == "grams" || name == "gramm") {
    unit.mass = Mass::gram;
  } else if (name == "kg") {
    unit.mass = Mass::kilogram;
  } else if (name == "mg") {
    unit.mass = Mass::milligram;
  } else if (name == "ppm" || name == "mg/l") {
    unit.share = Share::ppm;
  } else if (const auto known = reading::unit_named(text)) {
    unit.known = known;
  } else {
    return std::nullopt;
  }
  return unit;
}

std::optional<AmountUnit> unit_in_heading(std::string_view heading) {
  const std::size_t open = heading.find_first_of("([");
  const std::size_t close = heading.find_last_of(")]");
  if (open != std::string_view::npos && close != std::string_view::npos && close > open) {
    if (auto unit = unit_of(heading.substr(open + 1, close - open - 1))) return unit;
  }
  if (const auto known = reading::unit_in(heading))
    return AmountUnit{.known = known, .volume = {}, .mass = {}, .share = {}};
  const std::size_t cut = heading.find_last_of(" /_");
  if (cut == std::string_view::npos || cut == 0) return std::nullopt;
  return unit_of(heading.substr(cut + 1));
}

std::string_view unit_of_field(std::string_view field) {
  if (field.ends_with("_c")) return "°C";
  if (field.ends_with("_k")) return "K";
  if (field.starts_with("pressure_kpa")) return "kPa gauge";
  if (field.ends_with("_kpa")) return "kPa";
  if (field.ends_with("_min")) return "min";
  if (field.ends_with("hours")) return "h";
  if (field.ends_with("percent")) return "%";
  if (field.ends_with("_ml")) return "ml";
  if (field.ends_with("_g")) return "g";
  return "";
}

std::optional<Turned> in_unit_of_field(double value, const AmountUnit& unit, std::string_view field) {
  const auto in_own = turned(value, unit, field);
  if (!in_own) return std::nullopt;
  // A number in the field's own unit stays exactly as it was written.
  const bool changed = std::abs(*in_own - value) > 1e-12;
  return Turned{.value = changed ? rounded_to_6(*in_own) : value, .changed = changed};
}

}  // namespace trayproof::registers
