#include "importer/judging/likeness.h"

#include <algorithm>
#include <cmath>

namespace trayproof::judging {
namespace {

constexpr double slow_most_k = 0.15;
constexpr double noise_most_k = 0.6;
constexpr double top_k = 3;  // so near to the top control and sensor make what is seen
constexpr std::size_t on_ramp_least = 5;
// Jitter that both share: the sensor's noise under added noise of about twice its size. Of few readings chance alone
// makes as much: Fisher's transformation says how much, in standard errors.
constexpr double shared_least = 0.5;
constexpr double shared_chance = 7.5;
// Without jitter: nearer to the one than to any other by that much, where the others are not that near to each other.
constexpr double stands_out = 0.15;
constexpr double crowd_k = 0.3;
constexpr double alone_k = 0.1;

// Where readings are few, what is left must be the rounding of the last digit alone, and that improbable.
constexpr double few_readings = 150;
constexpr double rounding_most = 1.3;
constexpr double nearness_sure = 18;
constexpr double nearness_alone = 24;   // where the crowd does not bear it out
constexpr double averaged_least = 1.9;  // steps of the finer curve in one of the coarser: it may hold their means
// Among many genuine cycles of the same shape: how improbable it is that one of them lies so near.
constexpr double improbable_sure = 13;
constexpr double improbable_least = 5;  // where the jitter or the rounding tells too

double median(std::vector<double> values) {
  if (values.empty()) return 0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// The spread of what jumps from value to value, by the middle of the jumps: a ramp does not count.
double jumps(const std::vector<double>& values) {
  std::vector<double> steps;
  for (std::size_t i = 2; i < values.size(); ++i)
    steps.push_back(std::abs(values[i] - 2 * values[i - 1] + values[i - 2]));
  return 1.4826 * median(std::move(steps)) / std::sqrt(6.0);
}

double mean(const std::vector<double>& values) {
  double sum = 0;
  for (const double value : values) sum += value;
  return sum / static_cast<double>(values.size());
}

// The finer curve under the readings of the coarser one.
class Overlay {
 public:
  Overlay(const Curve& coarse, const Top& top, const Curve& fine) : fine_(fine) {
    for (const Reading& one : coarse.readings) {
      if (one.at_s < top.from_s || one.at_s > top.until_s) continue;
      at_s_.push_back(one.at_s);
      values_.push_back(one.cold_c);
    }
  }

  bool enough() const { return at_s_.size() >= 8; }
  const std::vector<double>& values() const { return values_; }
  const std::vector<double>& at_s() const { return at_s_; }

  // The fine curve at these times, that much later. Times rise, so one way through it is enough.
  std::vector<double> under(double shift_s) const {
    std::vector<double> out;
    out.reserve(at_s_.size());
    std::size_t k = 1;
    const auto& readings = fine_.readings;
    for (const double at : at_s_) {
      const double want = at + shift_s;
      while (k + 1 < readings.size() && readings[k].at_s < want) ++k;
      const Reading& a = readings[k - 1];
      const Reading& b = readings[k];
      const double step = b.at_s - a.at_s;
      const double part = step > 0 ? std::clamp((want - a.at_s) / step, 0.0, 1.0) : 1;
      out.push_back(a.cold_c + part * (b.cold_c - a.cold_c));
    }
    return out;
  }

  // What is left of the difference under that shift, its mean taken away.
  std::vector<double> left(double shift_s, double& offset_k) const {
    std::vector<double> out = under(shift_s);
    for (std::size_t i = 0; i < out.size(); ++i) out[i] -= values_[i];
    offset_k = mean(out);
    for (double& value : out) value -= offset_k;
    return out;
  }

  // Newton's way to the least squares: ramps tell the shift.
  double settle(double shift_s, double step_s) const {
    for (int round = 0; round < 6; ++round) {
      double offset = 0;
      const std::vector<double> rest = left(shift_s, offset);
      const std::vector<double> later = under(shift_s + step_s / 2);
      const std::vector<double> earlier = under(shift_s - step_s / 2);
      double above = 0;
      double below = 0;
      for (std::size_t i = 0; i < rest.size(); ++i) {
        const double slope = (later[i] - earlier[i]) / step_s;
        above += rest[i] * slope;
        below += slope * slope;
      }
      if (!(below > 0)) return shift_s;
      const double move = std::clamp(above / below, -5 * step_s, 5 * step_s);
      shift_s -= move;
      if (std::abs(move) < 0.01) break;
    }
    return shift_s;
  }

 private:
  const Curve& fine_;
  std::vector<double> at_s_;
  std::vector<double> values_;
};

double rms(const std::vector<double>& values) {
  double sum = 0;
  for (const double value : values) sum += value * value;
  return std::sqrt(sum / static_cast<double>(values.size()));
}

double slow_of(const std::vector<double>& rest, double noise_k) {
  const std::size_t parts = std::clamp<std::size_t>(rest.size() / 8, 4, 32);
  double worst = 0;
  for (std::size_t part = 0; part < parts; ++part) {
    const std::size_t first = rest.size() * part / parts;
    const std::size_t end = rest.size() * (part + 1) / parts;
    if (first >= end) continue;
    double sum = 0;
    for (std::size_t i = first; i < end; ++i) sum += rest[i];
    const auto count = static_cast<double>(end - first);
    worst = std::max(worst, std::abs(sum / count) - 4 * noise_k / std::sqrt(count));
  }
  // A single reading far off is no noise either.
  for (const double value : rest) worst = std::max(worst, std::abs(value) - 6 * noise_k - slow_most_k);
  return worst;
}

double step_of(const Curve& curve) {
  std::vector<double> steps;
  for (std::size_t i = 1; i < curve.readings.size(); ++i)
    steps.push_back(curve.readings[i].at_s - curve.readings[i - 1].at_s);
  return std::max(median(std::move(steps)), 0.01);
}

// How much a reading jumps out of the line between its neighbours; only where all three lie on the top.
std::vector<double> jitter(const std::vector<double>& values, const std::vector<std::size_t>& places) {
  std::vector<double> out;
  for (const std::size_t i : places) out.push_back(values[i] - (values[i - 1] + values[i + 1]) / 2);
  std::vector<double> sizes;
  for (const double value : out) sizes.push_back(std::abs(value));
  // A step of the control is no noise: it counts as a jump of four spreads at most.
  const double most = 4 * 1.4826 * median(std::move(sizes));
  if (most > 0) {
    for (double& value : out) value = std::clamp(value, -most, most);
  }
  return out;
}

void share(const std::vector<double>& one, const std::vector<double>& other, double level_c, Likeness& found) {
  std::vector<std::size_t> places;
  for (std::size_t i = 0; i < one.size(); ++i) {
    if (one[i] < level_c) ++found.on_ramp;
    const bool inside = i > 0 && i + 1 < one.size();
    if (inside && one[i - 1] >= level_c && one[i] >= level_c && one[i + 1] >= level_c) places.push_back(i);
  }
  found.on_top = places.size();
  const std::vector<double> a = jitter(one, places);
  const std::vector<double> b = jitter(other, places);
  double both = 0;
  double of_one = 0;
  double of_other = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    both += a[i] * b[i];
    of_one += a[i] * a[i];
    of_other += b[i] * b[i];
  }
  if (of_one > 0 && of_other > 0) found.shared = both / std::sqrt(of_one * of_other);
}

// The last digit of what was written: the smallest step between two values.
double digit_of(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  double least = 0;
  for (std::size_t i = 1; i < values.size(); ++i) {
    const double step = values[i] - values[i - 1];
    if (step > 1e-6 && (least == 0 || step < least)) least = step;
  }
  return least;
}

struct Laid {
  const Curve& curve;
  const Top& top;
  double step_s;
  std::size_t stride = 1;  // so many readings lie between two that are independent
};

// The spread of single readings on the top of a curve, as they jump out of the line between their neighbours.
double spread_of(const Laid& laid) {
  std::vector<double> sizes;
  const double level = laid.top.top_c - top_k;
  const auto& readings = laid.curve.readings;
  for (std::size_t i = laid.stride; i + laid.stride < readings.size(); ++i) {
    const double before = readings[i - laid.stride].cold_c;
    const double after = readings[i + laid.stride].cold_c;
    if (before < level || readings[i].cold_c < level || after < level) continue;
    sizes.push_back(std::abs(readings[i].cold_c - (before + after) / 2));
  }
  return 1.4826 * median(std::move(sizes)) / std::sqrt(1.5);
}

// How improbable it is, as a negative logarithm, that readings of two cycles with spreads of their own lie so near to
// each other: Chernoff's bound on the lower tail of chi squared. Nothing where what is left is more than the rounding
// of the last digit leaves.
double nearness(const Overlay& overlay, double rms_k, double spread_k, std::size_t independent) {
  const double rounding = digit_of(overlay.values()) / std::sqrt(12.0);
  if (!(rms_k <= rounding_most * rounding) || !(spread_k > rms_k)) return 0;
  const double part = std::max(rms_k * rms_k / (spread_k * spread_k), 1e-6);
  const double free = static_cast<double>(independent) - 2;  // shift and offset were fitted
  return free > 0 ? free / 2 * (part - 1 - std::log(part)) : 0;
}

// Readings of `over` held against the lines between those of `under`. The shift is of `under` against `over`.
std::optional<Likeness> laid_over(const Laid& over, const Laid& under, const Overlay& overlay) {
  const double between = under.top.from_s - over.top.from_s;
  const double shift = overlay.settle(between, std::min(over.step_s, under.step_s));
  if (std::abs(shift - between) > 30 + std::max(over.step_s, under.step_s)) return std::nullopt;
  Likeness found;
  const std::vector<double> rest = overlay.left(shift, found.offset_k);
  found.rms_k = rms(rest);
  found.noise_k = jumps(rest);
  found.slow_k = slow_of(rest, found.noise_k);
  share(overlay.values(), overlay.under(shift), over.top.top_c - top_k, found);
  // On a line between two readings two thirds of their spread are left, in the middle of all places.
  const double spread = std::sqrt(std::pow(spread_of(over), 2) + std::pow(spread_of(under), 2) * 2 / 3);
  const auto lines = static_cast<std::size_t>((under.top.until_s - under.top.from_s) / under.step_s) / under.stride;
  found.nearness = nearness(overlay, found.rms_k, spread, std::min(lines, overlay.values().size()));
  found.shift_s = shift;
  return found;
}

// What a copy by averages holds of it: means of so many readings, each at their mean time.
Curve means_of(const Curve& curve, std::size_t count) {
  Curve out;
  const auto& readings = curve.readings;
  double sum = 0;
  double times = 0;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    sum += readings[i].cold_c;
    times += readings[i].at_s;
    if (i + 1 < count) continue;
    const auto of = static_cast<double>(count);
    out.readings.push_back({.at_s = times / of, .cold_c = sum / of});
    sum -= readings[i + 1 - count].cold_c;
    times -= readings[i + 1 - count].at_s;
  }
  return out;
}

}  // namespace

std::optional<Likeness> likeness(const Curve& one, const Curve& other) {
  const auto top_one = top_of(one);
  const auto top_other = top_of(other);
  if (!top_one || !top_other) return std::nullopt;
  const Laid first{one, *top_one, step_of(one)};
  const Laid second{other, *top_other, step_of(other)};
  const bool one_coarser = first.step_s >= second.step_s;
  const auto laid = [&](bool one_over, const Laid& over, const Laid& under) -> std::optional<Likeness> {
    const Overlay overlay(over.curve, over.top, under.curve);
    if (!overlay.enough()) return std::nullopt;
    auto found = laid_over(over, under, overlay);
    if (found && !one_over) {
      found->shift_s = -found->shift_s;
      found->offset_k = -found->offset_k;
    }
    // Of few readings the jitter tells little, and a copy may have been made from either.
    if (found && static_cast<double>(overlay.values().size()) > few_readings) found->nearness = 0;
    return found;
  };
  const auto better = [](std::optional<Likeness> a, std::optional<Likeness> b) {
    return !a || (b && b->rms_k < a->rms_k) ? b : a;
  };
  const Laid& coarse = one_coarser ? first : second;
  const Laid& fine = one_coarser ? second : first;
  auto found = laid(one_coarser, coarse, fine);
  if (coarse.step_s >= averaged_least * fine.step_s) {
    const auto count = static_cast<std::size_t>(std::lround(coarse.step_s / fine.step_s));
    const Curve means = means_of(fine.curve, count);
    if (const auto top = top_of(means)) {
      found = better(found, laid(one_coarser, coarse, {means, *top, fine.step_s, count}));
    }
  }
  const double seconds = std::min(top_one->until_s - top_one->from_s, top_other->until_s - top_other->from_s);
  if (seconds / fine.step_s > few_readings) return found;
  return better(found, laid(!one_coarser, fine, coarse));
}

bool is_alike(const Likeness& found) {
  return found.slow_k <= slow_most_k && found.noise_k <= noise_most_k && found.on_ramp >= on_ramp_least;
}

bool is_same_curve(const Likeness& found, const std::optional<double>& next_rms_k) {
  const bool stands_alone = !found.improbable || *found.improbable >= improbable_least;
  if (found.nearness >= (stands_alone ? nearness_sure : nearness_alone) && found.slow_k <= slow_most_k) return true;
  if (!is_alike(found)) return false;
  if (found.improbable.value_or(0) >= improbable_sure) return true;
  if (!stands_alone) return false;
  const double free = found.on_top > 3 ? static_cast<double>(found.on_top - 3) : 0.01;
  if (found.shared >= std::max(std::tanh(shared_chance / std::sqrt(free)), shared_least)) return true;
  if (!next_rms_k) return found.rms_k <= alone_k;
  return *next_rms_k >= crowd_k && found.rms_k <= stands_out * *next_rms_k;
}

std::vector<std::size_t> nearest(std::size_t count, const std::function<const Sketch*(std::size_t)>& usable,
                                 const Sketch& sketch) {
  constexpr std::size_t most = 30;
  std::vector<std::pair<double, std::size_t>> near;
  for (std::size_t i = 0; i < count; ++i) {
    const Sketch* known = usable(i);
    const auto apart = known != nullptr ? apart_k(*known, sketch) : std::nullopt;
    if (apart && *apart <= near_k) near.emplace_back(*apart, i);
  }
  const std::size_t kept = std::min(near.size(), most);
  std::partial_sort(near.begin(), near.begin() + static_cast<std::ptrdiff_t>(kept), near.end());
  std::vector<std::size_t> places;
  for (std::size_t i = 0; i < kept; ++i) places.push_back(near[i].second);
  return places;
}

void Likest::offer(std::size_t place, const Likeness& found) {
  const bool better = !place_ || found.rms_k < best_.rms_k;
  if (place_) {
    const double other = better ? best_.rms_k : found.rms_k;
    next_rms_k_ = std::min(next_rms_k_.value_or(other), other);
  }
  if (!better) return;
  place_ = place;
  best_ = found;
}

std::optional<std::size_t> Likest::same() const {
  return place_ && is_same_curve(best_, next_rms_k_) ? place_ : std::nullopt;
}

}  // namespace trayproof::judging
