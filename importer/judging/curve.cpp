#include "importer/judging/curve.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace trayproof::judging {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
// A reading converted from °F must not fall below a limit by a last digit.
constexpr double rounding_k = 1e-9;

// One channel's value at every sample, silences filled with the lower neighbour.
struct Filled {
  std::vector<double> values;
  bool any = false;
  std::vector<Silence> silences;
};

Filled fill(const Series& series, std::size_t channel, std::size_t first, std::size_t last,
            std::optional<double> gap_s_max) {
  const double reach = std::max(gap_s_max.value_or(0), 10 * series.interval_s.value_or(60));
  Filled filled;
  filled.values.assign(last - first + 1, none);
  const auto silent = [&](std::size_t from, std::size_t until) {
    const double from_s = series.samples[from].elapsed_s;
    const double until_s = series.samples[until].elapsed_s;
    if (until_s - from_s > reach) filled.silences.push_back({series.temperatures[channel], from_s, until_s});
  };
  std::optional<std::size_t> before;
  for (std::size_t i = first; i <= last; ++i) {
    const double value = series.samples[i].temperature_c[channel];
    if (std::isnan(value)) continue;
    if (!before && i > first) silent(first, i);
    filled.any = true;
    filled.values[i - first] = value;
    const double step = before ? series.samples[i].elapsed_s - series.samples[*before].elapsed_s : 0;
    if (before && i - *before > 1 && step <= reach) {
      const double lower = std::min(value, series.samples[*before].temperature_c[channel]);
      for (std::size_t k = *before + 1; k < i; ++k) filled.values[k - first] = lower;
    } else if (before && i - *before > 1) {
      silent(*before, i);
    }
    before = i;
  }
  if (before && *before != last) silent(*before, last);
  return filled;
}

double crossing(const Reading& below, const Reading& above, double set_c) {
  const double rise = above.cold_c - below.cold_c;
  if (!(rise > 0)) return above.at_s;
  return below.at_s + (set_c - below.cold_c) / rise * (above.at_s - below.at_s);
}

Hold hold_of(const Curve& curve, std::size_t first, std::size_t last, double set_c, std::optional<double> gap_s_max) {
  const auto& readings = curve.readings;
  Hold hold{.first = first, .last = last};
  hold.minutes = (readings[last].at_s - readings[first].at_s) / 60;
  double begin = readings[first].at_s;
  double end = readings[last].at_s;
  const auto bridged = [&](double step) { return !gap_s_max || step <= *gap_s_max; };
  if (first > 0 && bridged(readings[first].at_s - readings[first - 1].at_s)) {
    begin = crossing(readings[first - 1], readings[first], set_c);
  }
  if (last + 1 < readings.size() && bridged(readings[last + 1].at_s - readings[last].at_s)) {
    // The same line read backward: below is the later one.
    const Reading& below = readings[last + 1];
    const Reading& above = readings[last];
    const double fall = above.cold_c - below.cold_c;
    if (fall > 0) end = above.at_s + (above.cold_c - set_c) / fall * (below.at_s - above.at_s);
  }
  hold.minutes_interpolated = (end - begin) / 60;
  double part = readings[first].at_s;
  for (std::size_t i = first + 1; i <= last; ++i) {
    const double step = readings[i].at_s - readings[i - 1].at_s;
    hold.gap_s = std::max(hold.gap_s, step);
    if (!bridged(step)) part = readings[i].at_s;
    hold.minutes_without_gap = std::max(hold.minutes_without_gap, (readings[i].at_s - part) / 60);
  }
  return hold;
}

}  // namespace

Curve curve_of(const Series& series, std::size_t first, std::size_t last, std::optional<double> gap_s_max) {
  Curve curve;
  std::vector<Filled> channels;
  for (std::size_t channel = 0; channel < series.temperatures.size(); ++channel) {
    if (!series.in_load[channel]) continue;
    Filled filled = fill(series, channel, first, last, gap_s_max);
    if (filled.any) curve.silences.insert(curve.silences.end(), filled.silences.begin(), filled.silences.end());
    if (filled.any) channels.push_back(std::move(filled));
  }
  for (std::size_t i = first; i <= last; ++i) {
    const Sample& sample = series.samples[i];
    Reading reading{.at_s = sample.elapsed_s,
                    .cold_c = none,
                    .hot_c = none,
                    .pressure_kpa_abs = sample.pressure_kpa_abs,
                    .sample = i};
    for (const Filled& channel : channels) {
      const double value = channel.values[i - first];
      if (std::isnan(value)) continue;
      if (std::isnan(reading.cold_c) || value < reading.cold_c) reading.cold_c = value;
      if (std::isnan(reading.hot_c) || value > reading.hot_c) reading.hot_c = value;
    }
    if (std::isnan(reading.cold_c)) continue;
    if (!std::isnan(reading.pressure_kpa_abs)) curve.has_pressure = true;
    curve.readings.push_back(reading);
    curve.points.push_back({reading.at_s, {reading.cold_c}});
  }
  return curve;
}

std::optional<double> steady_c(const Curve& curve) {
  constexpr double steady_s = 120;
  const auto& readings = curve.readings;
  std::optional<double> best;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    double lowest = readings[i].cold_c;
    for (std::size_t k = i + 1; k < readings.size(); ++k) {
      lowest = std::min(lowest, readings[k].cold_c);
      if (best && lowest <= *best) break;
      if (readings[k].at_s - readings[i].at_s >= steady_s) {
        best = lowest;
        break;
      }
    }
  }
  if (best || readings.empty()) return best;
  // Shorter than two minutes: its highest reading.
  return std::max_element(readings.begin(), readings.end(),
                          [](const Reading& a, const Reading& b) { return a.cold_c < b.cold_c; })
      ->cold_c;
}

std::optional<Plateau> plateau_of(const Curve& curve, double set_c, std::optional<double> gap_s_max) {
  const auto& readings = curve.readings;
  const auto at_set = [&](const Reading& reading) { return reading.cold_c >= set_c - rounding_k; };
  std::optional<Plateau> plateau;
  std::size_t begin = 0;
  bool inside = false;
  const auto close = [&](std::size_t last) {
    const Hold hold = hold_of(curve, begin, last, set_c, gap_s_max);
    if (!plateau) plateau = Plateau{.first = begin, .last = last, .lowest_below_set = {}, .hold = hold};
    plateau->last = last;
    if (hold.minutes > plateau->hold.minutes) plateau->hold = hold;
  };
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (at_set(readings[i]) && !inside) {
      inside = true;
      begin = i;
    } else if (!at_set(readings[i]) && inside) {
      inside = false;
      close(i - 1);
    }
  }
  if (inside) close(readings.size() - 1);
  if (!plateau) return plateau;
  for (std::size_t i = plateau->first; i <= plateau->last; ++i) {
    if (at_set(readings[i])) continue;
    plateau->lowest_below_set = std::min(plateau->lowest_below_set.value_or(readings[i].cold_c), readings[i].cold_c);
  }
  return plateau;
}

}  // namespace trayproof::judging
