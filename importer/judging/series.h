// From what was read to what is judged: file units to °C and kPa absolute, one sample a moment, in order.
// docs/import-reading.md is the authority.
//
// A unit or a gauge that neither name nor resting value decides is asked. Rows that stand twice are dropped, rows that
// share a stamp become the colder one, both told.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "importer/judging/sample.h"
#include "importer/reading/reading.h"

namespace trayproof::judging {

struct SeriesOptions {
  std::optional<reading::Sense> pressure;
  std::optional<double> altitude_m;
  double error_k = 0;
};

struct Series {
  std::vector<Sample> samples;
  std::vector<std::string> temperatures;  // names of the temperature channels
  std::vector<bool> in_load;              // false: its name says ambient, room, jacket …
  std::string pressure_name;              // empty: none is used
  reading::Sense pressure_sense = reading::Sense::unknown;
  bool pressure_unusable = false;      // there is one, and it cannot be made absolute
  std::vector<std::size_t> breaks;     // samples before which the stamps jump back
  std::vector<std::size_t> conflicts;  // samples made of rows with one stamp and different values
  std::vector<std::size_t> backward;   // samples put in order within a few rows
  std::optional<double> interval_s;    // the most usual step
  std::vector<reading::Ask> asks;
  std::vector<std::string> notes;
};

// Completes the units of `reading`'s channels where the resting value decides them.
Series make_series(reading::Reading& reading, const SeriesOptions& options);

}  // namespace trayproof::judging
