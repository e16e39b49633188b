#include "importer/physics/units.h"

#include "ledger/base/check.h"

namespace trayproof::physics {

Celsius celsius(double value, TemperatureUnit unit) {
  switch (unit) {
    case TemperatureUnit::celsius:
      return {value};
    // Multiplied before divided: 249.8 °F is 121 °C exactly, and a reading at the limit must not fall below it.
    case TemperatureUnit::fahrenheit:
      return {(value - 32) * 5 / 9};
    case TemperatureUnit::kelvin:
      return {value - 273.15};
  }
  CHECK(false);
}

double kelvins(double difference, TemperatureUnit unit) {
  return unit == TemperatureUnit::fahrenheit ? difference * 5 / 9 : difference;
}

// NIST SP 811, appendix B.8: exact factors, but for the conventional inch of mercury at 0 °C.
double kilopascals(double value, PressureUnit unit) {
  switch (unit) {
    case PressureUnit::kpa:
      return value;
    case PressureUnit::hpa:
      return value / 10;
    case PressureUnit::bar:
      return value * 100;
    case PressureUnit::mpa:
      return value * 1000;
    case PressureUnit::pa:
      return value / 1000;
    case PressureUnit::psi:
      return value * 6.894757293168;
    case PressureUnit::kgf_cm2:
      return value * 98.0665;
    case PressureUnit::mmhg:
      return value * 0.133322387415;
    case PressureUnit::inhg:
      return value * 3.386389;
    case PressureUnit::atm:
      return value * 101.325;
  }
  CHECK(false);
}

}  // namespace trayproof::physics
