// What heat did, as equivalent time at a reference temperature: F0 (moist heat), F_H (dry heat), A0 (thermal
// disinfection). docs/physics.md is the authority.
//
// Between two readings the temperature is taken as linear and the lethal rate integrated in closed form: a trapezoid on
// the rate overstates every ramp, because the rate is convex. A lower bound goes with it: the lower rate of each pair.
#pragma once

#include <optional>
#include <span>

#include "importer/physics/units.h"

namespace trayproof::physics {

struct Reference {
  Celsius temperature;
  double z_k = 10;
  std::optional<Celsius> counted_from;  // rates below it are zero
};

// z and reference as the quantities are defined; 121.1 °C where an SOP states no other.
inline constexpr Reference f0_reference{.temperature = {121.1}, .z_k = 10, .counted_from = {}};
inline constexpr Reference fh_reference{.temperature = {170}, .z_k = 20, .counted_from = {}};
inline constexpr Reference a0_reference{.temperature = {80}, .z_k = 10, .counted_from = Celsius{65}};

struct Point {
  double at_s = 0;
  Celsius temperature;
};

struct Lethality {
  double seconds = 0;      // temperature linear between readings
  double seconds_low = 0;  // the lower rate of each pair
};

double lethal_rate(Celsius temperature, const Reference& reference);
// Seconds of lethality of a straight ramp.
double ramp(Celsius first, Celsius last, double seconds, const Reference& reference);
// Over readings in order of time. A step longer than `gap_s_max` counts as zero, a step backward too.
Lethality lethality(std::span<const Point> points, const Reference& reference, std::optional<double> gap_s_max);

// The same readings, all of them off by the logger's accuracy one way and the other.
struct Band {
  double seconds_low = 0;
  double seconds_high = 0;
};
// Shifting every reading by a constant multiplies each rate by the same factor, but for the cut at `counted_from`.
Band accuracy_band(std::span<const Point> points, const Reference& reference, std::optional<double> gap_s_max,
                   double accuracy_k);

}  // namespace trayproof::physics
