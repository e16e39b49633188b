#include "report/register/funnel.h"

#include <cmath>

namespace trayproof::registry {
namespace {

double log_probability(std::int64_t found, std::int64_t of, double share) {
  const auto n = static_cast<double>(of);
  const auto k = static_cast<double>(found);
  return std::lgamma(n + 1) - std::lgamma(k + 1) - std::lgamma(n - k + 1) + k * std::log(share) +
         (n - k) * std::log1p(-share);
}

// The smallest count whose cumulative probability is at least `level`. What lies further below the mean than `reach`
// has a probability under e^-60 (Bernstein's inequality), which the levels asked for cannot tell from nothing.
std::int64_t quantile(std::int64_t of, double share, double level) {
  const auto n = static_cast<double>(of);
  const double reach = 12 * std::sqrt(n * share * (1 - share)) + 40;
  const auto from = static_cast<std::int64_t>(std::fmax(0, std::floor(n * share - reach)));
  double sum = 0;
  double term = 0;
  for (std::int64_t found = from; found < of; ++found) {
    // Each from the one before, once a double holds that with all its digits.
    if (term > 1e-290)
      term *= (n - static_cast<double>(found - 1)) / static_cast<double>(found) * share / (1 - share);
    else
      term = std::exp(log_probability(found, of, share));
    sum += term;
    if (sum >= level) return found;
  }
  return of;
}

}  // namespace

Limits funnel_limits(std::int64_t of, double share, double tail) {
  if (share <= 0) return {0, 0};
  if (share >= 1) return {1, 1};
  const auto n = static_cast<double>(of);
  return {.low = static_cast<double>(quantile(of, share, tail)) / n,
          .high = static_cast<double>(quantile(of, share, 1 - tail)) / n};
}

std::string_view place_of(std::int64_t found, std::int64_t of, double share) {
  const double mine = static_cast<double>(found) / static_cast<double>(of);
  const Limits wide = funnel_limits(of, share, 0.001);
  if (mine < wide.low) return "below-998";
  if (mine > wide.high) return "above-998";
  const Limits narrow = funnel_limits(of, share, 0.025);
  if (mine < narrow.low) return "below-95";
  if (mine > narrow.high) return "above-95";
  return "";
}

}  // namespace trayproof::registry
