#include "importer/judging/series.h"

#include <cmath>
#include <limits>

namespace trayproof::judging {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

double value_of(const reading::Row& row, std::size_t channel) {
  return channel < row.values.size() ? row.values[channel] : none;
}

double kilopascals(const reading::Row& row, const std::optional<PressureUse>& use) {
  return use ? physics::kilopascals(value_of(row, use->channel), use->unit) : none;
}

}  // namespace

double absolute_kpa(reading::Sense sense, double pressure_kpa, double room_kpa,
                    const std::optional<double>& ambient_kpa) {
  if (sense == reading::Sense::absolute) return pressure_kpa;
  if (sense != reading::Sense::gauge) return none;
  if (room_kpa > 30 && room_kpa < 120) return pressure_kpa + room_kpa;
  return ambient_kpa ? pressure_kpa + *ambient_kpa : none;
}

Series series_of(const Decisions& decisions) {
  Series series;
  series.temperatures = decisions.temperatures;
  series.in_load = decisions.in_load;
  series.pressure_name = decisions.pressure_name;
  series.pressure_sense = decisions.pressure_sense;
  series.has_barometer = decisions.barometer.has_value();
  series.pressure_unusable = decisions.pressure_unusable;
  return series;
}

Series series_like(const Series& series) {
  Series like;
  like.temperatures = series.temperatures;
  like.in_load = series.in_load;
  like.pressure_name = series.pressure_name;
  like.pressure_sense = series.pressure_sense;
  like.has_barometer = series.has_barometer;
  like.pressure_unusable = series.pressure_unusable;
  like.interval_s = series.interval_s;
  return like;
}

Sample sample_of(const reading::Row& row, const Decisions& decisions, double error_k) {
  Sample sample{.at = row.at,
                .elapsed_s = row.elapsed_s,
                .line = row.line,
                .temperature_c = {},
                .pressure_kpa = kilopascals(row, decisions.pressure),
                .room_kpa = kilopascals(row, decisions.barometer),
                .pressure_kpa_abs = none};
  sample.pressure_kpa_abs =
      absolute_kpa(decisions.pressure_sense, sample.pressure_kpa, sample.room_kpa, decisions.ambient_kpa);
  sample.temperature_c.reserve(decisions.probes.size());
  for (const ProbeUse& probe : decisions.probes) {
    sample.temperature_c.push_back(physics::celsius(value_of(row, probe.channel), probe.unit).value - error_k);
  }
  return sample;
}

}  // namespace trayproof::judging
