// Where in a file the cycles are, and the phases of each: heat-up, plateau, exhaust, cool-down.
// docs/import-reading.md, "Cycles", is the authority. The levels here cut a file into pieces; none of them is a limit.
#pragma once

#include <vector>

#include "importer/judging/series.h"

namespace trayproof::judging {

struct Stretch {
  std::size_t first = 0;      // from leaving the cold
  std::size_t last = 0;       // to being cold again
  std::size_t hot_first = 0;  // its part at 60 °C and above on the hottest channel
  std::size_t hot_last = 0;
};

// In order of the file. A stretch that stays below 65 °C, where nothing begins to count, is no cycle.
std::vector<Stretch> find_cycles(const Series& series);

}  // namespace trayproof::judging
