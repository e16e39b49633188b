// Third part of the reference: which load made a pack what it was at some time.
#pragma once

#include <string>
#include <vector>

#include "tests/reference/facts.h"

namespace trayproof::reference {

// Every load that could be the relevant one of something that befell the pack at that time, in order of id. With times
// that are known to the second there is at most one.
std::vector<const Load*> relevant_loads(const Facts& facts, const std::string& pack, const Span& time);

// The loads that an `indicator-read` speaks of: its `load`, else the relevant ones of its `pack`.
std::vector<const Load*> loads_of_indicator(const Facts& facts, const Happening& indicator);

// The loads on which a curve was placed, with the logger it came from.
struct PlacedCurve {
  std::string load;
  std::optional<std::string> logger;
};
std::vector<PlacedCurve> placed_curves(const Facts& facts);

}  // namespace trayproof::reference
