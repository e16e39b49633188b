#include "importer/judging/integrity.h"

#include <algorithm>
#include <cmath>

namespace trayproof::judging {
namespace {

// No probe in a load changes faster; a step like this is a plug or a writing mistake.
constexpr double slope_k_per_s = 30;
// A value that stays exactly the same this long, this often, while something else moves this much.
constexpr double frozen_s = 600;
constexpr std::size_t frozen_readings = 20;
constexpr double hot_c = 60;
constexpr double moving_k = 5;
constexpr double moving_kpa = 20;

struct Run {
  std::size_t first = 0;
  std::size_t last = 0;
};

// The longest run of one and the same value on a channel.
Run longest_run(const Series& series, const Stretch& cycle, std::size_t channel) {
  Run best{cycle.first, cycle.first};
  Run run = best;
  for (std::size_t i = cycle.first + 1; i <= cycle.last; ++i) {
    const double value = series.samples[i].temperature_c[channel];
    if (std::isnan(value) || value != series.samples[run.first].temperature_c[channel]) run.first = i;
    run.last = i;
    if (run.last - run.first > best.last - best.first) best = run;
  }
  return best;
}

bool others_move(const Series& series, const Run& run, std::size_t channel) {
  for (std::size_t other = 0; other <= series.temperatures.size(); ++other) {
    if (other == channel) continue;
    const bool pressure = other == series.temperatures.size();
    double low = 1e9;
    double high = -1e9;
    for (std::size_t i = run.first; i <= run.last; ++i) {
      const double value = pressure ? series.samples[i].pressure_kpa_abs : series.samples[i].temperature_c[other];
      if (std::isnan(value)) continue;
      low = std::min(low, value);
      high = std::max(high, value);
    }
    if (high - low > (pressure ? moving_kpa : moving_k)) return true;
  }
  return false;
}

void check_frozen(const Series& series, const Stretch& cycle, std::vector<Finding>& findings) {
  for (std::size_t channel = 0; channel < series.temperatures.size(); ++channel) {
    if (!series.in_load[channel] || std::isnan(series.samples[cycle.first].temperature_c[channel])) continue;
    const Run run = longest_run(series, cycle, channel);
    // A probe deep in a load may well rest while the chamber is pulsed; a hot one does not.
    if (series.samples[run.first].temperature_c[channel] < hot_c) continue;
    const double seconds = series.samples[run.last].elapsed_s - series.samples[run.first].elapsed_s;
    if (run.last - run.first + 1 < frozen_readings || seconds < frozen_s) continue;
    if (others_move(series, run, channel)) {
      findings.push_back({"sensor-frozen", {}, series.temperatures[channel]});
    } else if (run.first == cycle.first && run.last == cycle.last) {
      findings.push_back({"sensor-flat", {}, series.temperatures[channel]});
    }
  }
}

void check_slopes(const Series& series, const Stretch& cycle, std::vector<Finding>& findings) {
  double steepest = 0;
  for (std::size_t channel = 0; channel < series.temperatures.size(); ++channel) {
    if (!series.in_load[channel]) continue;
    for (std::size_t i = cycle.first + 1; i <= cycle.last; ++i) {
      const double step = series.samples[i].elapsed_s - series.samples[i - 1].elapsed_s;
      const double change =
          std::abs(series.samples[i].temperature_c[channel] - series.samples[i - 1].temperature_c[channel]);
      if (step > 0 && change / step > steepest) steepest = change / step;
    }
  }
  if (steepest > slope_k_per_s)
    findings.push_back({"slope-impossible", slope_k_per_s, std::round(steepest * 1e6) / 1e6});
}

}  // namespace

void check_integrity(const Series& series, const Stretch& cycle, const Curve& curve,
                     const std::optional<HoldSamples>& hold, std::vector<Finding>& findings) {
  check_frozen(series, cycle, findings);
  check_slopes(series, cycle, findings);
  const auto within = [](std::size_t i, std::size_t first, std::size_t last) { return i >= first && i <= last; };
  const auto backward = std::count_if(series.backward.begin(), series.backward.end(),
                                      [&](std::size_t i) { return within(i, cycle.first, cycle.last); });
  if (backward > 0) findings.push_back({"stamps-backward", {}, static_cast<double>(backward)});
  if (!hold) return;
  const auto conflicts = std::count_if(series.conflicts.begin(), series.conflicts.end(),
                                       [&](std::size_t i) { return within(i, hold->first, hold->last); });
  if (conflicts > 0) findings.push_back({"stamps-conflict", {}, static_cast<double>(conflicts)});
  const double from_s = series.samples[hold->first].elapsed_s;
  const double until_s = series.samples[hold->last].elapsed_s;
  for (const Silence& silence : curve.silences) {
    if (silence.until_s > from_s && silence.from_s < until_s) findings.push_back({"channel-lost", {}, silence.channel});
  }
  if (!hold->band_k) return;
  double apart = 0;
  for (const Reading& reading : curve.readings) {
    if (within(reading.sample, hold->first, hold->last)) apart = std::max(apart, reading.hot_c - reading.cold_c);
  }
  if (apart > *hold->band_k) findings.push_back({"channels-disagree", *hold->band_k, std::round(apart * 1e6) / 1e6});
}

}  // namespace trayproof::judging
