#include "importer/physics/lethality.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace trayproof::physics {
namespace {

Lethality shifted_lethality(std::span<const Point> points, const Reference& reference, std::optional<double> gap_s_max,
                            double shift_k) {
  Lethality sum;
  for (std::size_t i = 1; i < points.size(); ++i) {
    const double step = points[i].at_s - points[i - 1].at_s;
    if (step <= 0 || (gap_s_max && step > *gap_s_max)) continue;
    const Celsius first{points[i - 1].temperature.value + shift_k};
    const Celsius last{points[i].temperature.value + shift_k};
    sum.seconds += ramp(first, last, step, reference);
    sum.seconds_low += std::min(lethal_rate(first, reference), lethal_rate(last, reference)) * step;
  }
  return sum;
}

}  // namespace

// L = 10^((T - T_ref)/z): FAO Fisheries Technical Paper 285 for F0, European Pharmacopoeia 5.1.5 for F_H (from memory),
// ISO 15883-1 annex B for A0, which counts from 65 °C.
double lethal_rate(Celsius temperature, const Reference& reference) {
  if (reference.counted_from && temperature < *reference.counted_from) return 0;
  return std::pow(10, (temperature.value - reference.temperature.value) / reference.z_k);
}

// The integral of 10^((T - T_ref)/z) over a linear T: time · z · (L1 - L0) / (ln 10 · (T1 - T0)).
double ramp(Celsius first, Celsius last, double seconds, const Reference& reference) {
  if (last < first) std::swap(first, last);
  if (reference.counted_from && first < *reference.counted_from) {
    if (last <= *reference.counted_from) return 0;
    seconds *= (last.value - reference.counted_from->value) / (last.value - first.value);
    first = *reference.counted_from;
  }
  const double low = lethal_rate(first, reference);
  const double high = lethal_rate(last, reference);
  const double difference = last.value - first.value;
  // Below a hundredth of a kelvin the quotient loses digits and the mean of the rates is right to 1e-7 of itself.
  if (difference < 0.01) return (low + high) / 2 * seconds;
  return seconds * reference.z_k * (high - low) / (std::numbers::ln10 * difference);
}

Lethality lethality(std::span<const Point> points, const Reference& reference, std::optional<double> gap_s_max) {
  return shifted_lethality(points, reference, gap_s_max, 0);
}

Band accuracy_band(std::span<const Point> points, const Reference& reference, std::optional<double> gap_s_max,
                   double accuracy_k) {
  return {.seconds_low = shifted_lethality(points, reference, gap_s_max, -accuracy_k).seconds_low,
          .seconds_high = shifted_lethality(points, reference, gap_s_max, accuracy_k).seconds};
}

}  // namespace trayproof::physics
