#include "importer/judging/trace.h"

#include <algorithm>
#include <cmath>
#include <limits>

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

// A trace at any time after its beginning: on the line between two values, or the mean over a time around it.
class TraceValues {
 public:
  TraceValues(const Trace& trace, double over_s) : trace_(trace), half_(over_s / 2 / trace.step_s) {
    if (half_ == 0) return;
    sums_.reserve(trace.cold_c.size() + 1);
    sums_.push_back(0);
    for (const float value : trace.cold_c) sums_.push_back(sums_.back() + static_cast<double>(value));
  }

  // Nothing past its end.
  std::optional<double> at(double after_s) const {
    const double place = std::max(0.0, after_s) / trace_.step_s;
    const std::size_t size = trace_.cold_c.size();
    if (half_ == 0) {
      const auto i = static_cast<std::size_t>(place);
      if (i + 1 >= size) return std::nullopt;
      const double a = static_cast<double>(trace_.cold_c[i]);
      return a + (place - static_cast<double>(i)) * (static_cast<double>(trace_.cold_c[i + 1]) - a);
    }
    const double last = static_cast<double>(size);
    const double from = std::clamp(place - half_ + 0.5, 0.0, last);
    const double until = std::clamp(place + half_ + 0.5, 0.0, last);
    if (until - from < half_) return std::nullopt;
    return (sum_to(until) - sum_to(from)) / (until - from);
  }

 private:
  double sum_to(double place) const {
    const auto i = static_cast<std::size_t>(place);
    if (i >= trace_.cold_c.size()) return sums_.back();
    return sums_[i] + (place - static_cast<double>(i)) * static_cast<double>(trace_.cold_c[i]);
  }

  const Trace& trace_;
  double half_;
  std::vector<double> sums_;
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
class Against {
 public:
  Against(const Curve& curve, const Top& top, const Trace& trace, const TraceValues& values)
      : values_(values), first_s_(top.from_s + trace.first_s), step_s_(trace.step_s), level_c_(top.top_c - top_k) {
    for (const Reading& one : curve.readings) {
      if (one.at_s >= top.from_s && one.at_s <= top.until_s) readings_.emplace_back(one.at_s, one.cold_c);
    }
  }

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
    for (const auto& [at_s, cold_c] : readings_) {
      if (const auto value = at(at_s, shift_s)) (cold_c < level_c_ ? on_ramp : on_top).add(cold_c - *value);
    }
    if (on_top.count() < on_top_least) return {.top_k = infinite, .ramp_k = infinite};
    const double offset = on_top.mean();
    return {.top_k = on_top.spread(offset), .ramp_k = on_ramp.count() == 0 ? std::nan("") : on_ramp.spread(offset)};
  }

 private:
  std::optional<double> at(double at_s, double shift_s) const { return values_.at(at_s - first_s_ + shift_s); }

  // Newton's step to the least squares: ramps tell the shift.
  double move(double shift_s) const {
    double count = 0;
    double rests = 0;
    double slopes = 0;
    double squares = 0;
    double products = 0;
    for (const auto& [at_s, cold_c] : readings_) {
      const auto value = at(at_s, shift_s);
      const auto before = at(at_s, shift_s - step_s_ / 2);
      const auto after = at(at_s, shift_s + step_s_ / 2);
      if (!value || !before || !after) continue;
      const double rest = cold_c - *value;
      const double slope = (*after - *before) / step_s_;
      ++count;
      rests += rest;
      slopes += slope;
      squares += slope * slope;
      products += rest * slope;
    }
    const double below = squares * count - slopes * slopes;
    return below > 0 ? (products * count - rests * slopes) / below : 0;
  }

  const TraceValues& values_;
  double first_s_;
  double step_s_;
  double level_c_;
  std::vector<std::pair<double, double>> readings_;  // when, temperature
};

Apart apart_by(const Curve& curve, const Top& top, const Trace& trace, double over_s) {
  const TraceValues values(trace, over_s);
  return Against(curve, top, trace, values).apart();
}

}  // namespace

bool has_few_readings(const Curve& curve) {
  const auto top = top_of(curve);
  if (!top) return false;
  std::size_t count = 0;
  for (const Reading& one : curve.readings) {
    if (one.at_s >= top->from_s && one.at_s <= top->until_s && ++count > few) return false;
  }
  return true;
}

Trace trace_of(const Curve& curve) {
  Trace trace;
  const auto top = top_of(curve);
  if (!top || !(top->until_s > top->from_s)) return trace;
  const auto& readings = curve.readings;
  double step = infinite;
  for (std::size_t i = 1; i < readings.size(); ++i) {
    const double one = readings[i].at_s - readings[i - 1].at_s;
    if (one > 0) step = std::min(step, one);
  }
  const double width = top->until_s - top->from_s;
  // Where readings lie evenly and are not too many, the trace is the readings.
  trace.step_s = std::max(step, width / static_cast<double>(points_most - 2));
  const auto rises =
      std::find_if(readings.begin(), readings.end(), [&](const Reading& one) { return one.at_s >= top->from_s; });
  const double begin = rises == readings.begin() ? top->from_s : std::prev(rises)->at_s;
  trace.first_s = begin - top->from_s;
  std::size_t k = 1;
  for (double at = begin; at <= top->until_s + trace.step_s && trace.cold_c.size() < points_most; at += trace.step_s) {
    while (k + 1 < readings.size() && readings[k].at_s < at) ++k;
    const Reading& a = readings[k - 1];
    const Reading& b = readings[k];
    const double part = b.at_s > a.at_s ? std::clamp((at - a.at_s) / (b.at_s - a.at_s), 0.0, 1.0) : 1;
    trace.cold_c.push_back(static_cast<float>(a.cold_c + part * (b.cold_c - a.cold_c)));
  }
  return trace;
}

Apart apart_from(const Curve& curve, const Top& top, double step_s, const Trace& trace) {
  const Apart by_line = apart_by(curve, top, trace, 0);
  if (step_s < averaged_least * trace.step_s) return by_line;
  const Apart by_means = apart_by(curve, top, trace, step_s);
  return by_means.top_k < by_line.top_k ? by_means : by_line;
}

std::optional<double> LikestAtTop::improbable(std::size_t place) const {
  const auto found = std::find_if(places.begin(), places.end(), [&](const auto& one) { return one.second == place; });
  const Apart far{.top_k = infinite, .ramp_k = infinite};
  return crowd.improbable(found == places.end() ? far : found->first);
}

LikestAtTop likest_at_top(std::size_t count, const std::function<const Sketch*(std::size_t)>& usable,
                          const std::function<const Trace*(std::size_t)>& trace, const Curve& curve,
                          const Sketch& sketch) {
  LikestAtTop out;
  const auto top = top_of(curve);
  if (!top) return out;
  for (std::size_t i = 0; i < count; ++i) {
    const Sketch* known = usable(i);
    const auto apart = known != nullptr ? apart_k(*known, sketch) : std::nullopt;
    if (!apart || *apart > near_k) continue;
    const Trace* one = trace(i);
    if (one == nullptr || one->cold_c.size() < 2) continue;
    out.places.emplace_back(apart_from(curve, *top, sketch.step_s, *one), i);
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
