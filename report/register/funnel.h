// A funnel plot's limits (Spiegelhalter, Statistics in Medicine 24 (2005) 1185): what share a place of this volume may
// show when it is like all others and only chance is at work. Exact, from the binomial distribution: the limit is the
// smallest count whose cumulative probability reaches the level, so a share strictly outside has at most that chance on
// its side. Pure.
#pragma once

#include <cstdint>
#include <string_view>

namespace trayproof::registry {

struct Limits {
  double low = 0;
  double high = 1;
};
// Of shares of `of` (1 or more) around `share`, with that probability in each tail: 0.025 for 95 %, 0.001 for 99.8 %.
Limits funnel_limits(std::int64_t of, double share, double tail);

// Where a share lies: "" inside both, "below-95", "above-95", "below-998", "above-998".
std::string_view place_of(std::int64_t found, std::int64_t of, double share);

}  // namespace trayproof::registry
