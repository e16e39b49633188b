#include "importer/judging/series.h"

#include <cmath>
#include <limits>

namespace trayproof::judging {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

double value_of(const reading::Row& row, std::size_t channel) {
  return channel < row.values.size() ? row.values[channel] : none;
}

double kilopascals(const reading::Row& row, const PressureUse& use) {
  return physics::kilopascals(value_of(row, use.channel), use.unit);
}

double pressure_abs(const reading::Row& row, const Decisions& decisions) {
  if (!decisions.pressure || decisions.pressure_unusable) return none;
  const double value = kilopascals(row, *decisions.pressure);
  if (decisions.pressure_sense == reading::Sense::absolute) return value;
  if (decisions.pressure_sense != reading::Sense::gauge) return none;
  if (decisions.barometer) {
    const double room = kilopascals(row, *decisions.barometer);
    if (room > 30 && room < 120) return value + room;
  }
  return decisions.ambient_kpa ? value + *decisions.ambient_kpa : none;
}

}  // namespace

Series series_of(const Decisions& decisions) {
  Series series;
  series.temperatures = decisions.temperatures;
  series.in_load = decisions.in_load;
  series.pressure_name = decisions.pressure_name;
  series.pressure_sense = decisions.pressure_sense;
  series.pressure_unusable = decisions.pressure_unusable;
  return series;
}

Sample sample_of(const reading::Row& row, const Decisions& decisions, double error_k) {
  Sample sample{.at = row.at,
                .elapsed_s = row.elapsed_s,
                .line = row.line,
                .temperature_c = {},
                .pressure_kpa_abs = pressure_abs(row, decisions)};
  sample.temperature_c.reserve(decisions.probes.size());
  for (const ProbeUse& probe : decisions.probes) {
    sample.temperature_c.push_back(physics::celsius(value_of(row, probe.channel), probe.unit).value - error_k);
  }
  return sample;
}

}  // namespace trayproof::judging
