#include "importer/judging/steps.h"

#include <algorithm>
#include <cmath>

namespace trayproof::judging {
namespace {

constexpr std::size_t different_max = 4096;
constexpr std::size_t exact_max = 10'000;

// To two digits, so that any file has few different steps.
std::int64_t rough(std::int64_t us) {
  std::int64_t scale = 1;
  while (us / scale >= 100) scale *= 10;
  return us / scale * scale;
}

}  // namespace

void StepCounts::add(double step_s) {
  if (last_ != nullptr && step_s == last_s_) {
    ++total_;
    ++*last_;
    return;
  }
  if (!(step_s > 0) || step_s > 1e9) return;
  std::int64_t us = std::llround(step_s * 1e6);
  ++total_;
  longest_us_ = std::max(longest_us_, us);
  if (counts_.size() >= different_max && !counts_.contains(us)) us = rough(us);
  last_s_ = step_s;
  last_ = &counts_[us];
  ++*last_;
}

void StepCounts::clear() {
  counts_.clear();
  last_ = nullptr;
  longest_us_ = total_ = 0;
}

double StepCounts::usual_s() const {
  std::int64_t before = 0;
  for (const auto& [us, count] : counts_) {
    before += count;
    if (before > total_ / 2) return static_cast<double>(us) / 1e6;
  }
  return 0;
}

std::int64_t StepCounts::longer_than(double step_s) const {
  std::int64_t longer = 0;
  for (const auto& [us, count] : counts_) {
    if (static_cast<double>(us) / 1e6 > step_s) longer += count;
  }
  return longer;
}

void RestCounts::bin(double kpa) {
  const double place = std::floor((kpa - lowest_kpa) / width_kpa);
  ++counts_[static_cast<std::size_t>(std::clamp(place, 0.0, static_cast<double>(bins - 1)))];
}

void RestCounts::add(double kpa) {
  ++total_;
  if (counts_.empty() && values_.size() < exact_max) {
    values_.push_back(kpa);
    return;
  }
  if (counts_.empty()) {
    counts_.assign(bins, 0);
    for (const double value : values_) bin(value);
    values_.clear();
  }
  bin(kpa);
}

std::optional<double> RestCounts::middle() const {
  if (total_ == 0) return std::nullopt;
  if (counts_.empty()) {
    std::vector<double> sorted = values_;
    const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
    std::nth_element(sorted.begin(), middle, sorted.end());
    return *middle;
  }
  std::int64_t before = 0;
  for (std::size_t i = 0; i < counts_.size(); ++i) {
    before += counts_[i];
    if (before > total_ / 2) return lowest_kpa + (static_cast<double>(i) + 0.5) * width_kpa;
  }
  return std::nullopt;
}

}  // namespace trayproof::judging
