// The few statistics that an assessor's answer needs, as pure functions of numbers: the Wilson interval of a share,
// Fisher's exact test of a two-by-two table, the individuals chart and the run chart. docs/answers.md tells what each
// of them can and cannot show.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

namespace trayproof::answers {

// The 95 % score interval of Wilson (1927) without continuity correction; `of` is above 0 and `found` within it.
struct Interval {
  double low = 0;
  double high = 1;
};
Interval wilson(std::int64_t found, std::int64_t of);

// A table of two rows, each with those that have something and those that have not.
struct TwoByTwo {
  std::int64_t cases_with = 0;
  std::int64_t cases_without = 0;
  std::int64_t others_with = 0;
  std::int64_t others_without = 0;
};
// The exact probability of a table at least as unlikely, its margins given and nothing behind it but chance: two sided,
// the sum of all tables not more likely than this one (as Fisher, 1935, read it later; R's fisher.test does the same).
double fisher_two_sided(const TwoByTwo& table);
// Of at least that many among the cases.
double fisher_more(const TwoByTwo& table);

// Individuals and moving range (Shewhart): centre = mean, limits = mean ± 3 · mean moving range / d2, d2 = 1.128 for
// two. The centre and the limits are of all the values given.
struct IndividualsChart {
  double centre = 0;
  double upper = 0;
  double lower = 0;
  double mean_range = 0;
  double range_upper = 0;
  // For each value, which rule it breaks, empty for none: "beyond-limits" (one value beyond three sigma) or
  // "nine-one-side" (the ninth or later in a row on one side of the centre; both are rules of Nelson, 1984).
  std::vector<std::string_view> signals;
};
IndividualsChart individuals_chart(const std::vector<double>& values);

// A run chart: the median, and for each value whether it belongs to a shift (six or more in a row on one side of the
// median; values on the median neither break nor lengthen a run) or to a trend (five or more all rising or all falling,
// equal ones skipped). The rules of the run charts of health care improvement (Perla, Provost and Murray, 2011; from
// memory).
struct RunChart {
  double median = 0;
  std::int64_t runs = 0;                  // of values on one side, those on the median left out
  std::vector<std::string_view> signals;  // "shift", "trend" or empty
};
RunChart run_chart(const std::vector<double>& values);

}  // namespace trayproof::answers
