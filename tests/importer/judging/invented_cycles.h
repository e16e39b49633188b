// Invented cycles of invented sterilizers, for what must be measured on many: real cycles of one machine look alike, by
// as much as its control, its load and its logger let them.
#pragma once

#include <algorithm>
#include <cmath>
#include <random>

#include "importer/judging/curve.h"
#include "importer/judging/phases.h"
#include "importer/judging/series.h"

namespace trayproof::tests {

struct Machine {
  double step_s = 10;         // of the logger
  double resolution_k = 0.1;  // and its last digit
  double noise_k = 0.05;
  double top_c = 121.6;
  double hold_min = 31;
  double control_k = 0.3;    // how far the control lets the temperature swing in the hold
  double control_s = 80;     // and how long a swing takes
  double repeat = 0.03;      // relative spread of heating and cooling from cycle to cycle
  double hold_jitter_s = 4;  // of the controller's timer and the logger's step
  double settle_k = 0.08;    // spread of the set point
};

struct Recorded {
  judging::Series series;
  judging::Stretch stretch;
  judging::Curve curve() const { return judging::curve_of(series, stretch.first, stretch.last, std::nullopt); }
};

inline Recorded recorded(std::vector<double> values, double step_s, double resolution_k) {
  Recorded out;
  out.series.temperatures = {"T1"};
  out.series.in_load = {true};
  out.series.interval_s = step_s;
  for (std::size_t i = 0; i < values.size(); ++i) {
    judging::Sample sample;
    sample.elapsed_s = static_cast<double>(i) * step_s;
    sample.at = Instant{1'700'000'000'000 + static_cast<std::int64_t>(sample.elapsed_s * 1000)};
    sample.line = static_cast<std::int64_t>(i) + 2;
    sample.temperature_c = {std::round(values[i] / resolution_k) * resolution_k};
    sample.pressure_kpa = sample.room_kpa = sample.pressure_kpa_abs = std::nan("");
    out.series.samples.push_back(std::move(sample));
  }
  out.stretch = {.first = 0, .last = values.size() - 1, .hot_first = 0, .hot_last = values.size() - 1};
  return out;
}

// One cycle: it warms as a body under steam does, swings about its set point, and cools as it is vented and dried.
inline Recorded cycle_of(const Machine& machine, std::mt19937& random) {
  std::normal_distribution<double> spread(0, 1);
  std::uniform_real_distribution<double> even(0, 1);
  const double start = 35 + 8 * spread(random) * std::min(1.0, machine.repeat * 30);
  const double heat_s = 300 * (1 + machine.repeat * spread(random));
  const double cool_s = 400 * (1 + machine.repeat * spread(random));
  const double top = machine.top_c + machine.settle_k * spread(random);
  const double steam = top + 12;
  const double reach_s = -heat_s * std::log((steam - top) / (steam - start));
  const double hold_s = machine.hold_min * 60 + machine.hold_jitter_s * spread(random);
  const double begin_s = machine.step_s * even(random);  // where the logger's step falls
  double phase = even(random);
  double swing_s = machine.control_s;
  std::vector<double> values;
  const double whole_s = reach_s + hold_s + 1.6 * cool_s;
  for (double at = -begin_s; at < whole_s; at += machine.step_s) {
    double value = start;
    if (at >= 0 && at < reach_s) value = steam - (steam - start) * std::exp(-at / heat_s);
    if (at >= reach_s && at < reach_s + hold_s) {
      phase += machine.step_s / swing_s;
      if (phase >= 1) {
        phase -= std::floor(phase);
        swing_s = machine.control_s * (1 + 0.15 * spread(random));
      }
      value = top + machine.control_k * (2 * std::abs(2 * phase - 1) - 1);
    }
    if (at >= reach_s + hold_s) value = 30 + (top - 30) * std::exp(-(at - reach_s - hold_s) / cool_s);
    values.push_back(value + machine.noise_k * spread(random));
  }
  return recorded(std::move(values), machine.step_s, machine.resolution_k);
}

// A copy as somebody might make it to stand for another load.
struct Copying {
  double shift_s = 0;
  double offset_k = 0;
  double step_s = 0;  // another step; 0: the same
  double noise_k = 0;
  bool averaged = false;  // each value is the mean of the readings in its step, not of the line between two
};

// Of the readings from `from_s` on and before `until_s`; of the next one where there is none.
inline double mean_of(const judging::Curve& curve, double from_s, double until_s) {
  const auto& readings = curve.readings;
  auto at = std::find_if(readings.begin(), readings.end(),
                         [&](const judging::Reading& one) { return one.at_s >= from_s - 1e-9; });
  if (at == readings.end()) return readings.back().cold_c;
  double sum = 0;
  double count = 0;
  for (; at != readings.end() && (count == 0 || at->at_s < until_s - 1e-9); ++at, ++count) sum += at->cold_c;
  return sum / count;
}

inline Recorded copy_of(const Recorded& original, const Copying& how, double resolution_k, std::mt19937& random) {
  std::normal_distribution<double> spread(0, 1);
  const judging::Curve curve = original.curve();
  const double step = how.step_s > 0 ? how.step_s : *original.series.interval_s;
  std::vector<double> values;
  const auto& readings = curve.readings;
  std::size_t k = 1;
  for (double at = how.step_s > 0 ? step / 3 : 0; at <= readings.back().at_s; at += step) {
    while (k + 1 < readings.size() && readings[k].at_s < at) ++k;
    const double part = (at - readings[k - 1].at_s) / (readings[k].at_s - readings[k - 1].at_s);
    double value = readings[k - 1].cold_c + part * (readings[k].cold_c - readings[k - 1].cold_c);
    if (how.averaged) value = mean_of(curve, at, at + step);
    values.push_back(value + how.offset_k + how.noise_k * spread(random));
  }
  Recorded copy = recorded(std::move(values), step, resolution_k);
  for (judging::Sample& sample : copy.series.samples) sample.at->ms += std::llround(how.shift_s * 1000);
  return copy;
}

}  // namespace trayproof::tests
