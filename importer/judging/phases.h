// Where in a file the cycles are, and the phases of each: heat-up, plateau, exhaust, cool-down.
// docs/import-reading.md, "Cycles", is the authority. The levels here cut a file into pieces; none of them is a limit.
#pragma once

#include <vector>

#include "importer/judging/series.h"

namespace trayproof::judging {

inline constexpr double warm_c = 60;    // a cycle is what is warmer than anything at rest
inline constexpr double cooled_c = 55;  // and ends below this, so that noise at the level makes no cycles
inline constexpr double cold_c = 40;
inline constexpr double pulse_gap_s = 600;  // how soon the next heating follows a prevacuum pulse
inline constexpr double pause_s = 3600;     // a silence of an hour ends a stretch
inline constexpr double lead_s = 3600;      // how far heat-up and cool-down are followed

struct Stretch {
  std::size_t first = 0;      // from leaving the cold
  std::size_t last = 0;       // to being cold again
  std::size_t hot_first = 0;  // its part at 60 °C and above on the hottest channel
  std::size_t hot_last = 0;
};

// In order of the file. A stretch that stays below 65 °C, where nothing begins to count, is no cycle.
std::vector<Stretch> find_cycles(const Series& series);

}  // namespace trayproof::judging
