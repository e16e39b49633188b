#include "importer/judging/crowd.h"

#include <algorithm>
#include <cmath>

namespace trayproof::judging {
namespace {

constexpr std::size_t crowd_least = 40;
constexpr double tenth = 1.2816;  // so many standard deviations below the mean lies a tenth of a normal distribution

double log_square(double value_k) { return 2 * std::log(std::max(value_k, 1e-6)); }

double at_part(std::vector<double>& values, double part) {
  const auto place = static_cast<std::ptrdiff_t>(part * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + place, values.end());
  return values[static_cast<std::size_t>(place)];
}

// The lower tail of sums of squares: their degrees of freedom from how far the lowest tenth lies below the middle
// (Wilson and Hilferty's cube roots), then Chernoff's bound. Whatever cycles of that machine share makes the sums
// smaller, whatever else parts them makes the freedom less, and both make it harder to be accused.
double lower_tail(std::vector<double> values, double value) {
  const double middle = at_part(values, 0.5);
  const double low = at_part(values, 0.1);
  const double relative = (1 - std::exp((low - middle) / 3)) / tenth;
  if (!(relative > 0)) return 0;
  const double freedom = 2 / (9 * relative * relative);
  const double cube = 1 - 2 / (9 * freedom);
  if (!(cube > 0)) return 0;
  const double part = std::exp(value - middle) * cube * cube * cube;
  return part < 1 ? freedom / 2 * (part - 1 - std::log(part)) : 0;
}

}  // namespace

void Crowd::add(const Apart& apart) {
  if (!std::isfinite(apart.top_k) || !std::isfinite(apart.ramp_k)) return;
  top_.push_back(log_square(apart.top_k));
  ramp_.push_back(log_square(apart.ramp_k));
}

std::optional<double> Crowd::improbable(const Apart& apart) const {
  if (top_.size() < crowd_least) return std::nullopt;
  if (!std::isfinite(apart.top_k)) return 0;
  double sum = lower_tail(top_, log_square(apart.top_k));
  // Fisher's way to put two independent chances together: twice the sum is chi squared with four degrees of freedom.
  if (std::isfinite(apart.ramp_k)) sum += lower_tail(ramp_, log_square(apart.ramp_k));
  sum -= std::log1p(sum);
  return std::max(sum - std::log(static_cast<double>(top_.size())), 0.0);
}

}  // namespace trayproof::judging
