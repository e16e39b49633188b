// From values to places on the paper, and the marks along an axis.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "ledger/base/time.h"
#include "ledger/base/zone.h"

namespace trayproof::picture {

struct Scale {
  double low = 0;
  double high = 1;
  double from = 0;   // place of `low`
  double until = 1;  // place of `high`
  double operator()(double value) const { return from + (value - low) / (high - low) * (until - from); }
};

// Multiples of 1, 2 or 5 times a power of ten from `low` to `high`, at most `most` of them.
std::vector<double> round_marks(double low, double high, int most);

// Seconds since `start` at which a clock of the zone shows a round time; without a start round lengths of time.
struct TimeMark {
  double at_s = 0;
  std::string text;  // "08:15", or minutes
};
std::vector<TimeMark> time_marks(const std::optional<Instant>& start, const Zone& zone, double low_s, double high_s,
                                 int most);

}  // namespace trayproof::picture
