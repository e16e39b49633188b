// A stretch of a file as it is judged: °C and kPa absolute, one sample a moment, in order. docs/import-reading.md is
// the authority.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "importer/judging/decisions.h"
#include "importer/judging/sample.h"
#include "importer/reading/reading.h"

namespace trayproof::judging {

// Of one stretch, time included: 120,000 rows of four probes, 35,000 of sixteen.
inline constexpr std::size_t stretch_values_max = 600'000;

struct Series {
  std::vector<Sample> samples;
  std::vector<std::string> temperatures;  // names of the temperature channels
  std::vector<bool> in_load;              // false: its name says ambient, room, jacket …
  std::string pressure_name;              // empty: none is used
  reading::Sense pressure_sense = reading::Sense::unknown;
  bool has_barometer = false;          // that gauge pressure is told from
  bool pressure_unusable = false;      // there is one, and it cannot be made absolute
  std::vector<std::size_t> conflicts;  // samples made of rows with one stamp and different values
  std::vector<std::size_t> backward;   // samples put in order within a few rows
  std::optional<double> interval_s;    // the most usual step of the whole file
};

// A series without samples.
Series series_of(const Decisions& decisions);
// The same channels and the same step, without samples.
Series series_like(const Series& series);
// One row of the file. `error_k` is taken off each temperature.
Sample sample_of(const reading::Row& row, const Decisions& decisions, double error_k);

// Gauge pressure above the barometer's where it shows the air of some room, else above the altitude's; NaN without
// either.
double absolute_kpa(reading::Sense sense, double pressure_kpa, double room_kpa,
                    const std::optional<double>& ambient_kpa);

}  // namespace trayproof::judging
