#include "importer/judging/likeness.h"

#include <algorithm>
#include <cmath>
#include <span>

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
constexpr std::size_t readings_least = 8;  // of the one above
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

// One curve under the readings of the other's top.
class Overlay {
 public:
  Overlay(const Outline& over, const Outline& under)
      : under_(under), at_s_(at_s_of_top(over)), values_(cold_c_of_top(over)) {}

  bool enough() const { return at_s_.size() >= readings_least; }
  std::span<const double> values() const { return values_; }

  // The curve under these times, that much later. Times rise, so one way through it is enough.
  void under(double shift_s, std::vector<double>& out) const {
    out.resize(at_s_.size());
    const auto& at_s = under_.at_s;
    const auto& cold_c = under_.cold_c;
    if (at_s_.empty()) return;
    const std::size_t last = at_s.size() - 1;
    const auto first = std::lower_bound(at_s.begin() + 1, at_s.end() - 1, at_s_.front() + shift_s);
    auto k = static_cast<std::size_t>(first - at_s.begin());
    for (std::size_t i = 0; i < at_s_.size(); ++i) {
      const double want = at_s_[i] + shift_s;
      while (k < last && at_s[k] < want) ++k;
      const double step = at_s[k] - at_s[k - 1];
      const double part = step > 0 ? std::clamp((want - at_s[k - 1]) / step, 0.0, 1.0) : 1;
      out[i] = cold_c[k - 1] + part * (cold_c[k] - cold_c[k - 1]);
    }
  }
  std::vector<double> under(double shift_s) const {
    std::vector<double> out;
    under(shift_s, out);
    return out;
  }

  // What is left of the difference under that shift, its mean taken away; the mean is returned.
  double left(double shift_s, std::vector<double>& out) const {
    under(shift_s, out);
    for (std::size_t i = 0; i < out.size(); ++i) out[i] -= values_[i];
    const double offset_k = mean(out);
    for (double& value : out) value -= offset_k;
    return offset_k;
  }

  // Newton's way to the least squares: ramps tell the shift.
  double settle(double shift_s, double step_s) const {
    std::vector<double> rest;
    std::vector<double> later;
    std::vector<double> earlier;
    for (int round = 0; round < 6; ++round) {
      left(shift_s, rest);
      under(shift_s + step_s / 2, later);
      under(shift_s - step_s / 2, earlier);
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
  const Outline& under_;
  std::span<const double> at_s_;
  std::span<const double> values_;
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

// How much a reading jumps out of the line between its neighbours; only where all three lie on the top.
std::vector<double> jitter(std::span<const double> values, const std::vector<std::size_t>& places) {
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

void share(std::span<const double> one, std::span<const double> other, double level_c, Likeness& found) {
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
double digit_of(std::span<const double> some) {
  std::vector<double> values(some.begin(), some.end());
  std::sort(values.begin(), values.end());
  double least = 0;
  for (std::size_t i = 1; i < values.size(); ++i) {
    const double step = values[i] - values[i - 1];
    if (step > 1e-6 && (least == 0 || step < least)) least = step;
  }
  return least;
}

// The spread of single readings on the top of a curve, as they jump out of the line between their neighbours; so many
// readings lie between two that are independent.
double spread_of(const Outline& outline, std::size_t stride) {
  std::vector<double> sizes;
  const double level = outline.top.top_c - top_k;
  const auto& cold_c = outline.cold_c;
  for (std::size_t i = stride; i + stride < cold_c.size(); ++i) {
    const double before = cold_c[i - stride];
    const double after = cold_c[i + stride];
    if (before < level || cold_c[i] < level || after < level) continue;
    sizes.push_back(std::abs(cold_c[i] - (before + after) / 2));
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

// What a copy by averages holds of it: means of so many readings, each at their mean time. Nothing where these have no
// top.
std::optional<Outline> means_of(const Outline& outline, std::size_t count) {
  Curve means;
  double sum = 0;
  double times = 0;
  for (std::size_t i = 0; i < outline.at_s.size(); ++i) {
    sum += outline.cold_c[i];
    times += outline.at_s[i];
    if (i + 1 < count) continue;
    const auto of = static_cast<double>(count);
    means.readings.push_back({.at_s = times / of, .cold_c = sum / of});
    sum -= outline.cold_c[i + 1 - count];
    times -= outline.at_s[i + 1 - count];
  }
  auto out = outline_of(means);
  if (out) out->step_s = outline.step_s;
  return out;
}

using Way = Overlaid::Way;

// Two curves as one of the ways lays them. Means are independent only so many readings apart.
struct Layers {
  const Outline& over;
  const Outline& under;
  std::size_t stride = 1;
  bool one_over = true;
};

class Pair {
 public:
  Pair(const Outline& one, const Outline& other)
      : one_coarser_(one.step_s >= other.step_s),
        coarse_(one_coarser_ ? one : other),
        fine_(one_coarser_ ? other : one) {}

  // Where readings are few a copy may have been made from either, and the jitter tells little.
  bool is_of_few() const {
    const double seconds = std::min(coarse_.top.until_s - coarse_.top.from_s, fine_.top.until_s - fine_.top.from_s);
    return !(seconds / fine_.step_s > few_readings);
  }

  // Nothing where they cannot be laid so.
  std::optional<Layers> layers(Way way) {
    if (way == Way::coarse_over_fine) return Layers{.over = coarse_, .under = fine_, .one_over = one_coarser_};
    if (way == Way::fine_over_coarse) return Layers{.over = fine_, .under = coarse_, .one_over = !one_coarser_};
    if (!(coarse_.step_s >= averaged_least * fine_.step_s)) return std::nullopt;
    const auto count = static_cast<std::size_t>(std::lround(coarse_.step_s / fine_.step_s));
    if (!means_) means_ = means_of(fine_, count);
    if (!means_) return std::nullopt;
    return Layers{.over = coarse_, .under = *means_, .stride = count, .one_over = one_coarser_};
  }

 private:
  bool one_coarser_;
  const Outline& coarse_;
  const Outline& fine_;
  std::optional<Outline> means_;
};

std::optional<Overlaid> laid_over(const Layers& layers, Way way) {
  const Overlay overlay(layers.over, layers.under);
  if (!overlay.enough()) return std::nullopt;
  const double between = layers.under.top.from_s - layers.over.top.from_s;
  const double shift = overlay.settle(between, std::min(layers.over.step_s, layers.under.step_s));
  if (std::abs(shift - between) > 30 + std::max(layers.over.step_s, layers.under.step_s)) return std::nullopt;
  std::vector<double> rest;
  overlay.left(shift, rest);
  return Overlaid{.way = way, .shift_s = shift, .rms_k = rms(rest)};
}

}  // namespace

std::optional<Overlaid> overlaid(const Outline& one, const Outline& other) {
  Pair pair(one, other);
  std::optional<Overlaid> least;
  for (const Way way : {Way::coarse_over_fine, Way::coarse_over_means, Way::fine_over_coarse}) {
    if (way == Way::fine_over_coarse && !pair.is_of_few()) continue;
    const auto layers = pair.layers(way);
    const auto found = layers ? laid_over(*layers, way) : std::nullopt;
    if (found && (!least || found->rms_k < least->rms_k)) least = found;
  }
  return least;
}

Likeness likeness(const Outline& one, const Outline& other, const Overlaid& lie) {
  Pair pair(one, other);
  const auto layers = pair.layers(lie.way);
  Likeness found;
  if (!layers) return found;
  const auto& [over, under, stride, one_over] = *layers;
  const Overlay overlay(over, under);
  std::vector<double> rest;
  found.offset_k = overlay.left(lie.shift_s, rest);
  found.rms_k = rms(rest);
  found.noise_k = jumps(rest);
  found.slow_k = slow_of(rest, found.noise_k);
  share(overlay.values(), overlay.under(lie.shift_s), over.top.top_c - top_k, found);
  found.shift_s = lie.shift_s;
  if (!one_over) {
    found.shift_s = -found.shift_s;
    found.offset_k = -found.offset_k;
  }
  if (static_cast<double>(overlay.values().size()) > few_readings) return found;
  // On a line between two readings two thirds of their spread are left, in the middle of all places.
  const double spread = std::sqrt(std::pow(spread_of(over, 1), 2) + std::pow(spread_of(under, stride), 2) * 2 / 3);
  const auto lines = static_cast<std::size_t>((under.top.until_s - under.top.from_s) / under.step_s) / stride;
  found.nearness = nearness(overlay, found.rms_k, spread, std::min(lines, overlay.values().size()));
  return found;
}

std::optional<Likeness> likeness(const Curve& one, const Curve& other) {
  const auto first = outline_of(one);
  const auto second = outline_of(other);
  const auto lie = first && second ? overlaid(*first, *second) : std::nullopt;
  return lie ? std::optional(likeness(*first, *second, *lie)) : std::nullopt;
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

bool Likest::offer(std::size_t place, const Overlaid& lie) {
  const bool better = !place_ || lie.rms_k < best_.rms_k;
  if (place_) {
    const double other = better ? best_.rms_k : lie.rms_k;
    next_rms_k_ = std::min(next_rms_k_.value_or(other), other);
  }
  if (!better) return false;
  place_ = place;
  best_ = lie;
  return true;
}

}  // namespace trayproof::judging
