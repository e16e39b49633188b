// Quantities that must not be swapped, and the units that loggers write them in. Everything to the right of this file
// sees °C and kPa absolute only. docs/physics.md is the authority on the factors.
#pragma once

#include <compare>

namespace trayproof::physics {

struct Celsius {
  double value = 0;
  auto operator<=>(const Celsius&) const = default;
};
struct KpaAbs {
  double value = 0;
  auto operator<=>(const KpaAbs&) const = default;
};
// Above the pressure of the room.
struct KpaGauge {
  double value = 0;
  auto operator<=>(const KpaGauge&) const = default;
};

enum class TemperatureUnit { celsius, fahrenheit, kelvin };
enum class PressureUnit { kpa, hpa, bar, mpa, pa, psi, kgf_cm2, mmhg, inhg, atm };

Celsius celsius(double value, TemperatureUnit unit);
// A difference or an accuracy: no zero point.
double kelvins(double difference, TemperatureUnit unit);
double kilopascals(double value, PressureUnit unit);

inline KpaAbs absolute(KpaGauge gauge, KpaAbs ambient) { return {gauge.value + ambient.value}; }
inline KpaGauge gauge(KpaAbs pressure, KpaAbs ambient) { return {pressure.value - ambient.value}; }

}  // namespace trayproof::physics
