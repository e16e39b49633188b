#include "report/answers/statistics.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "ledger/base/check.h"

namespace trayproof::answers {
namespace {

// The 0.975 quantile of the normal distribution.
constexpr double z = 1.959963984540054;

double log_choose(std::int64_t n, std::int64_t k) {
  const auto a = static_cast<double>(n);
  const auto b = static_cast<double>(k);
  return std::lgamma(a + 1) - std::lgamma(b + 1) - std::lgamma(a - b + 1);
}

// The hypergeometric probabilities of every table with these margins, by the number of cases that have it.
struct Tables {
  std::int64_t least = 0;
  std::vector<double> probability;
};

Tables tables_of(const TwoByTwo& table) {
  const std::int64_t cases = table.cases_with + table.cases_without;
  const std::int64_t others = table.others_with + table.others_without;
  const std::int64_t with = table.cases_with + table.others_with;
  Tables out;
  out.least = std::max<std::int64_t>(0, with - others);
  const std::int64_t most = std::min(cases, with);
  const double all = log_choose(cases + others, with);
  for (std::int64_t k = out.least; k <= most; ++k)
    out.probability.push_back(std::exp(log_choose(cases, k) + log_choose(others, with - k) - all));
  return out;
}

}  // namespace

Interval wilson(std::int64_t found, std::int64_t of) {
  CHECK(of > 0 && found >= 0 && found <= of);
  const auto n = static_cast<double>(of);
  const double share = static_cast<double>(found) / n;
  const double middle = share + z * z / (2 * n);
  const double half = z * std::sqrt(share * (1 - share) / n + z * z / (4 * n * n));
  const double scale = 1 + z * z / n;
  // At the ends the formula gives 0 and 1 but for rounding.
  return {found == 0 ? 0 : (middle - half) / scale, found == of ? 1 : (middle + half) / scale};
}

double fisher_two_sided(const TwoByTwo& table) {
  const Tables all = tables_of(table);
  const double here = all.probability[static_cast<std::size_t>(table.cases_with - all.least)];
  // Tables that are equally unlikely differ in the last digits.
  constexpr double slack = 1 + 1e-7;
  double sum = 0;
  for (const double one : all.probability) sum += one <= here * slack ? one : 0;
  return std::min(1.0, sum);
}

double fisher_more(const TwoByTwo& table) {
  const Tables all = tables_of(table);
  double sum = 0;
  for (std::size_t i = static_cast<std::size_t>(table.cases_with - all.least); i < all.probability.size(); ++i)
    sum += all.probability[i];
  return std::min(1.0, sum);
}

IndividualsChart individuals_chart(const std::vector<double>& values) {
  IndividualsChart out;
  out.signals.resize(values.size());
  if (values.empty()) return out;
  out.centre = std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
  double ranges = 0;
  for (std::size_t i = 1; i < values.size(); ++i) ranges += std::abs(values[i] - values[i - 1]);
  constexpr double d2 = 1.128;
  constexpr double d4 = 3.267;
  out.mean_range = values.size() > 1 ? ranges / static_cast<double>(values.size() - 1) : 0;
  out.upper = out.centre + 3 * out.mean_range / d2;
  out.lower = out.centre - 3 * out.mean_range / d2;
  out.range_upper = d4 * out.mean_range;
  std::size_t in_a_row = 0;
  int side = 0;
  constexpr std::size_t nine = 9;
  for (std::size_t i = 0; i < values.size(); ++i) {
    const int here = values[i] > out.centre ? 1 : values[i] < out.centre ? -1 : 0;
    in_a_row = here != 0 && here == side ? in_a_row + 1 : here != 0 ? 1 : 0;
    side = here;
    if (in_a_row >= nine) out.signals[i] = "nine-one-side";
    if (values[i] > out.upper || values[i] < out.lower) out.signals[i] = "beyond-limits";
  }
  return out;
}

namespace {

void mark(std::vector<std::string_view>& signals, const std::vector<std::size_t>& run, std::size_t least,
          std::string_view word) {
  if (run.size() < least) return;
  for (const std::size_t at : run) signals[at] = word;
}

}  // namespace

RunChart run_chart(const std::vector<double>& values) {
  RunChart out;
  out.signals.resize(values.size());
  if (values.empty()) return out;
  std::vector<double> sorted = values;
  std::sort(sorted.begin(), sorted.end());
  const std::size_t half = sorted.size() / 2;
  out.median = sorted.size() % 2 == 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;

  constexpr std::size_t trend_least = 5;
  constexpr std::size_t shift_least = 6;
  std::vector<std::size_t> going;  // the values of one rise or fall
  int direction = 0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (going.empty()) {
      going.push_back(i);
      continue;
    }
    const double before = values[going.back()];
    if (values[i] == before) continue;
    const int here = values[i] > before ? 1 : -1;
    if (direction != 0 && here != direction) {
      mark(out.signals, going, trend_least, "trend");
      going = {going.back()};
    }
    direction = here;
    going.push_back(i);
  }
  mark(out.signals, going, trend_least, "trend");

  std::vector<std::size_t> run;
  int side = 0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (values[i] == out.median) continue;
    const int here = values[i] > out.median ? 1 : -1;
    if (here != side) {
      mark(out.signals, run, shift_least, "shift");
      run.clear();
      ++out.runs;
    }
    side = here;
    run.push_back(i);
  }
  mark(out.signals, run, shift_least, "shift");
  return out;
}

}  // namespace trayproof::answers
