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
  double step = std::numeric_limits<double>::infinity();
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

double apart_at_top_k(const Curve& curve, const Top& top, const Trace& trace) {
  const double level = top.top_c - top_k;
  double sum = 0;
  double squares = 0;
  std::size_t count = 0;
  for (const Reading& one : curve.readings) {
    if (one.at_s < top.from_s || one.cold_c < level) continue;
    if (one.at_s > top.until_s) break;
    const double place = std::max(0.0, one.at_s - top.from_s - trace.first_s) / trace.step_s;
    const auto i = static_cast<std::size_t>(place);
    if (i + 1 >= trace.cold_c.size()) break;
    const double a = static_cast<double>(trace.cold_c[i]);
    const double b = static_cast<double>(trace.cold_c[i + 1]);
    const double apart = one.cold_c - (a + (place - static_cast<double>(i)) * (b - a));
    sum += apart;
    squares += apart * apart;
    ++count;
  }
  if (count < on_top_least) return std::numeric_limits<double>::infinity();
  const double mean = sum / static_cast<double>(count);
  return std::sqrt(std::max(squares / static_cast<double>(count) - mean * mean, 0.0));
}

std::vector<std::size_t> likest_at_top(std::size_t count, const std::function<const Sketch*(std::size_t)>& usable,
                                       const std::function<const Trace*(std::size_t)>& trace, const Curve& curve,
                                       const Sketch& sketch) {
  std::vector<std::size_t> places;
  const auto top = top_of(curve);
  if (!top) return places;
  std::vector<std::pair<double, std::size_t>> near;
  for (std::size_t i = 0; i < count; ++i) {
    const Sketch* known = usable(i);
    const auto apart = known != nullptr ? apart_k(*known, sketch) : std::nullopt;
    if (!apart || *apart > near_k) continue;
    const Trace* one = trace(i);
    if (one == nullptr || one->cold_c.size() < 2) continue;
    near.emplace_back(apart_at_top_k(curve, *top, *one), i);
  }
  const std::size_t kept = std::min(near.size(), looked_at);
  std::partial_sort(near.begin(), near.begin() + static_cast<std::ptrdiff_t>(kept), near.end());
  for (std::size_t i = 0; i < kept; ++i) places.push_back(near[i].second);
  return places;
}

}  // namespace trayproof::judging
