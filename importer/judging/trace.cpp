#include "importer/judging/trace.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <span>

#include "importer/judging/likeness.h"

namespace trayproof::judging {
namespace {

constexpr std::size_t points_most = 256;
constexpr std::size_t few = 150;
constexpr double top_k = 3;  // so near to the top control and sensor make what is seen
constexpr std::size_t on_top_least = 4;
constexpr std::size_t looked_at = 60;
constexpr double averaged_least = 1.9;  // values of the trace in a step of the curve
constexpr int newton_rounds = 3;
constexpr double shift_most_s = 60;
constexpr double infinite = std::numeric_limits<double>::infinity();

constexpr double past_end = std::numeric_limits<double>::quiet_NaN();

// A trace at any time after its beginning: on the line between two values.
class OnLine {
 public:
  explicit OnLine(const Trace& trace) : step_s_(trace.step_s), cold_c_(trace.cold_c) {}

  // NaN past its end.
  double at(double after_s) const {
    const double place = std::max(0.0, after_s) / step_s_;
    const auto i = static_cast<std::size_t>(place);
    if (i + 1 >= cold_c_.size()) return past_end;
    const double a = static_cast<double>(cold_c_[i]);
    return a + (place - static_cast<double>(i)) * (static_cast<double>(cold_c_[i + 1]) - a);
  }

 private:
  double step_s_;
  std::span<const float> cold_c_;
};

// The same as the mean over a time around it.
class OfMeans {
 public:
  OfMeans(const Trace& trace, double over_s)
      : step_s_(trace.step_s), half_(over_s / 2 / trace.step_s), cold_c_(trace.cold_c) {
    for (std::size_t i = 0; i < cold_c_.size(); ++i) sums_[i + 1] = sums_[i] + static_cast<double>(cold_c_[i]);
  }

  double at(double after_s) const {
    const double place = std::max(0.0, after_s) / step_s_;
    const double last = static_cast<double>(cold_c_.size());
    const double from = std::clamp(place - half_ + 0.5, 0.0, last);
    const double until = std::clamp(place + half_ + 0.5, 0.0, last);
    if (until - from < half_) return past_end;
    return (sum_to(until) - sum_to(from)) / (until - from);
  }

 private:
  double sum_to(double place) const {
    const auto i = static_cast<std::size_t>(place);
    if (i >= cold_c_.size()) return sums_[cold_c_.size()];
    return sums_[i] + (place - static_cast<double>(i)) * static_cast<double>(cold_c_[i]);
  }

  double step_s_;
  double half_;
  std::span<const float> cold_c_;
  std::array<double, points_most + 1> sums_ = {};
};

class Squares {
 public:
  void add(double value) {
    sum_ += value;
    squares_ += value * value;
    ++count_;
  }
  std::size_t count() const { return count_; }
  double mean() const { return sum_ / static_cast<double>(count_); }
  // Around that value.
  double spread(double middle) const {
    const auto count = static_cast<double>(count_);
    return std::sqrt(std::max(squares_ / count - 2 * middle * sum_ / count + middle * middle, 0.0));
  }

 private:
  double sum_ = 0;
  double squares_ = 0;
  std::size_t count_ = 0;
};

// Readings of a curve held against a trace, shifted so that the squares are least.
template <typename Values>
class Against {
 public:
  Against(const Outline& curve, const Trace& trace, const Values& values)
      : values_(values),
        first_s_(curve.top.from_s + trace.first_s),
        step_s_(trace.step_s),
        level_c_(curve.top.top_c - top_k),
        at_s_(at_s_of_top(curve)),
        cold_c_(cold_c_of_top(curve)) {}

  Apart apart() const {
    double shift_s = 0;
    for (int round = 0; round < newton_rounds; ++round) {
      const double move = this->move(shift_s);
      if (!(std::abs(shift_s + move) <= shift_most_s)) break;
      shift_s += move;
      if (std::abs(move) < 0.05) break;
    }
    Squares on_top;
    Squares on_ramp;
    for (std::size_t i = 0; i < at_s_.size(); ++i) {
      const double value = at(at_s_[i], shift_s);
      if (std::isnan(value)) continue;
      (cold_c_[i] < level_c_ ? on_ramp : on_top).add(cold_c_[i] - value);
    }
    if (on_top.count() < on_top_least) return {.top_k = infinite, .ramp_k = infinite};
    const double offset = on_top.mean();
    return {.top_k = on_top.spread(offset), .ramp_k = on_ramp.count() == 0 ? std::nan("") : on_ramp.spread(offset)};
  }

 private:
  double at(double at_s, double shift_s) const { return values_.at(at_s - first_s_ + shift_s); }

  // Newton's step to the least squares: ramps tell the shift.
  double move(double shift_s) const {
    double count = 0;
    double rests = 0;
    double slopes = 0;
    double squares = 0;
    double products = 0;
    for (std::size_t i = 0; i < at_s_.size(); ++i) {
      const double at_s = at_s_[i];
      const double value = at(at_s, shift_s);
      const double slope = (at(at_s, shift_s + step_s_ / 2) - at(at_s, shift_s - step_s_ / 2)) / step_s_;
      if (std::isnan(value) || std::isnan(slope)) continue;
      const double rest = cold_c_[i] - value;
      ++count;
      rests += rest;
      slopes += slope;
      squares += slope * slope;
      products += rest * slope;
    }
    const double below = squares * count - slopes * slopes;
    return below > 0 ? (products * count - rests * slopes) / below : 0;
  }

  const Values& values_;
  double first_s_;
  double step_s_;
  double level_c_;
  std::span<const double> at_s_;
  std::span<const double> cold_c_;
};

}  // namespace

bool has_few_readings(const Outline& curve) { return at_s_of_top(curve).size() <= few; }

Trace trace_of(const Outline& curve) {
  Trace trace;
  const Top& top = curve.top;
  if (!(top.until_s > top.from_s)) return trace;
  const auto& at_s = curve.at_s;
  double step = infinite;
  for (std::size_t i = 1; i < at_s.size(); ++i) {
    const double one = at_s[i] - at_s[i - 1];
    if (one > 0) step = std::min(step, one);
  }
  const double width = top.until_s - top.from_s;
  // Where readings lie evenly and are not too many, the trace is the readings.
  trace.step_s = std::max(step, width / static_cast<double>(points_most - 2));
  const auto rises = std::lower_bound(at_s.begin(), at_s.end(), top.from_s);
  const double begin = rises == at_s.begin() ? top.from_s : *std::prev(rises);
  trace.first_s = begin - top.from_s;
  std::size_t k = 1;
  for (double at = begin; at <= top.until_s + trace.step_s && trace.cold_c.size() < points_most; at += trace.step_s) {
    while (k + 1 < at_s.size() && at_s[k] < at) ++k;
    const double before = curve.cold_c[k - 1];
    const double part = at_s[k] > at_s[k - 1] ? std::clamp((at - at_s[k - 1]) / (at_s[k] - at_s[k - 1]), 0.0, 1.0) : 1;
    trace.cold_c.push_back(static_cast<float>(before + part * (curve.cold_c[k] - before)));
  }
  return trace;
}

Apart apart_from(const Outline& curve, double step_s, const Trace& trace) {
  const Apart by_line = Against(curve, trace, OnLine(trace)).apart();
  if (step_s < averaged_least * trace.step_s) return by_line;
  const Apart by_means = Against(curve, trace, OfMeans(trace, step_s)).apart();
  return by_means.top_k < by_line.top_k ? by_means : by_line;
}

std::optional<double> LikestAtTop::improbable(std::size_t place) const {
  const auto found = std::find_if(places.begin(), places.end(), [&](const auto& one) { return one.second == place; });
  const Apart far{.top_k = infinite, .ramp_k = infinite};
  return crowd.improbable(found == places.end() ? far : found->first);
}

Result<LikestAtTop> likest_at_top(std::size_t count, const std::function<const Sketch*(std::size_t)>& usable,
                                  const std::function<Result<const Trace*>(std::size_t)>& trace, const Outline& curve,
                                  const Sketch& sketch) {
  LikestAtTop out;
  for (std::size_t i = 0; i < count; ++i) {
    const Sketch* known = usable(i);
    const auto apart = known != nullptr ? apart_k(*known, sketch) : std::nullopt;
    if (!apart || *apart > near_k) continue;
    TRY_LET(const Trace* one, trace(i));
    if (one == nullptr || one->cold_c.size() < 2) continue;
    out.places.emplace_back(apart_from(curve, sketch.step_s, *one), i);
    out.crowd.add(out.places.back().first);
  }
  const std::size_t kept = std::min(out.places.size(), looked_at);
  std::partial_sort(out.places.begin(), out.places.begin() + static_cast<std::ptrdiff_t>(kept), out.places.end(),
                    [](const auto& a, const auto& b) {
                      return a.first.top_k != b.first.top_k ? a.first.top_k < b.first.top_k : a.second < b.second;
                    });
  out.places.resize(kept);
  return out;
}

}  // namespace trayproof::judging
