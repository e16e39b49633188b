// One cycle as judging looks at it: the coldest and the hottest channel, reading by reading, and what they do against a
// set temperature. docs/import-reading.md, "Plateau and hold", is the authority.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "importer/judging/series.h"
#include "importer/physics/lethality.h"

namespace trayproof::judging {

struct Reading {
  double at_s = 0;
  double cold_c = 0;            // the coldest channel in the load
  double hot_c = 0;             // the hottest
  double pressure_kpa_abs = 0;  // NaN where there is none
  std::size_t sample = 0;
};

// A stretch in which a channel that gave values before or after gave none.
struct Silence {
  std::string channel;
  double from_s = 0;
  double until_s = 0;
};

struct Curve {
  std::vector<Reading> readings;
  std::vector<physics::Point> points;  // at_s and cold_c, for lethality
  std::vector<Silence> silences;       // longer than the limit on gaps, or ten steps
  bool has_pressure = false;
};

// A channel that is silent for a moment counts with the lower of the values around the silence.
Curve curve_of(const Series& series, std::size_t first, std::size_t last, std::optional<double> gap_s_max);

// The highest temperature that the coldest channel kept for two minutes.
std::optional<double> steady_c(const Curve& curve);

struct Hold {
  std::size_t first = 0;  // index into readings
  std::size_t last = 0;
  double minutes = 0;               // first reading to last
  double minutes_interpolated = 0;  // crossing to crossing
  double minutes_without_gap = 0;   // the longest part of it without a step past the limit
  double gap_s = 0;                 // the longest step in it
};
struct Plateau {
  std::size_t first = 0;
  std::size_t last = 0;
  std::optional<double> lowest_below_set;  // coldest reading below the set temperature inside it
  Hold hold;
};

// From the first to the last reading at or above the set temperature on the coldest channel, and its longest unbroken
// stretch. Nothing where no reading is.
std::optional<Plateau> plateau_of(const Curve& curve, double set_c, std::optional<double> gap_s_max);

}  // namespace trayproof::judging
