// What a whole file decides about its channels: which are probes and in which unit, which is the chamber's pressure and
// whether it is gauge or absolute. A unit or a gauge that neither name nor resting value decides is asked.
// docs/import-reading.md is the authority.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "importer/physics/units.h"
#include "importer/reading/reading.h"

namespace trayproof::judging {

struct SeriesOptions {
  std::optional<reading::Sense> pressure;
  std::optional<double> altitude_m;
  double error_k = 0;
  // An SOP limits how far steam may be from saturation, and the equipment may be a steam sterilizer: a column that
  // nothing names, and that could be its pressure, is asked.
  bool needs_pressure = false;
  std::vector<std::string> left_out;  // columns that nothing names, and that a person said are none of these
};

// `--unit CHANNEL=none`: the column is neither a temperature nor a pressure.
inline constexpr std::string_view no_unit = "none";

struct ProbeUse {
  std::size_t channel = 0;
  physics::TemperatureUnit unit = physics::TemperatureUnit::celsius;
  bool operator==(const ProbeUse&) const = default;
};
struct PressureUse {
  std::size_t channel = 0;
  physics::PressureUnit unit = physics::PressureUnit::kpa;
  bool operator==(const PressureUse&) const = default;
};

struct Decisions {
  std::vector<ProbeUse> probes;
  std::vector<std::string> temperatures;  // their names
  std::vector<bool> in_load;              // false: its name says ambient, room, jacket …
  std::optional<PressureUse> pressure;    // of the chamber
  std::string pressure_name;              // empty: none is used
  reading::Sense pressure_sense = reading::Sense::unknown;
  std::vector<std::string> left_out;  // nothing named them, and a person said so
  bool pressure_unusable = false;     // there is one, and it cannot be made absolute
  bool sense_by_rest = false;         // nothing but the value at rest can tell the sense
  std::optional<PressureUse> barometer;
  std::optional<double> ambient_kpa;  // by the altitude
  std::vector<reading::Ask> asks;
  std::vector<std::string> notes;

  // They make the same samples of the same rows.
  bool same_as(const Decisions& other) const {
    return probes == other.probes && in_load == other.in_load && pressure == other.pressure &&
           pressure_sense == other.pressure_sense && pressure_unusable == other.pressure_unusable &&
           barometer == other.barometer;
  }
};

// Completes the units of `reading`'s channels where the resting value decides them. `rest_kpa`: what the chamber's
// pressure is while nothing is hot, where it is known.
Decisions decide(reading::Reading& reading, const SeriesOptions& options, const std::optional<double>& rest_kpa);

}  // namespace trayproof::judging
