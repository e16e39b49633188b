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

struct Series {
  std::vector<Sample> samples;
  std::vector<std::string> temperatures;  // names of the temperature channels
  std::vector<bool> in_load;              // false: its name says ambient, room, jacket …
  std::string pressure_name;              // empty: none is used
  reading::Sense pressure_sense = reading::Sense::unknown;
  bool pressure_unusable = false;      // there is one, and it cannot be made absolute
  std::vector<std::size_t> conflicts;  // samples made of rows with one stamp and different values
  std::vector<std::size_t> backward;   // samples put in order within a few rows
  std::optional<double> interval_s;    // the most usual step of the whole file
};

// A series without samples.
Series series_of(const Decisions& decisions);
// One row of the file. `error_k` is taken off each temperature.
Sample sample_of(const reading::Row& row, const Decisions& decisions, double error_k);

}  // namespace trayproof::judging
