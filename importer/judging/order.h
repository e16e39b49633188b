// One sample a moment, in order of time: rows that stand twice, rows out of their place, one stamp with two values,
// several rows a minute. docs/import-reading.md, "Order", is the authority.
#pragma once

#include <cstdint>

#include "importer/judging/series.h"

namespace trayproof::judging {

// Of the whole file.
struct OrderRules {
  bool spread = false;  // the stamps show no seconds and several rows share a minute
  double reach_s = 0;   // a stamp that lies back by no more is a row out of its place
};

struct OrderCounts {
  std::int64_t repeats = 0;
  std::int64_t conflicts = 0;
  std::int64_t backward = 0;
  std::int64_t backward_line = 0;  // the first
};

// What was done is counted, and marked in the series where a verdict may depend on it.
void put_in_order(Series& series, const OrderRules& rules, OrderCounts& counts);

}  // namespace trayproof::judging
