#include "importer/judging/sketch.h"

#include <algorithm>
#include <cmath>

#include "importer/judging/packed.h"

namespace trayproof::judging {
namespace {

constexpr std::uint64_t format = 1;
constexpr double unit_k = 0.01;
constexpr std::size_t readings_least = 8;
constexpr double hot_c = 60;

// Where the line between two readings passes that temperature.
double passes_s(const Reading& a, const Reading& b, double temperature_c) {
  const double change = b.cold_c - a.cold_c;
  if (change == 0) return b.at_s;
  return a.at_s + (temperature_c - a.cold_c) / change * (b.at_s - a.at_s);
}

// Of the hot time, not of the readings: these may lie closer together in one part than in another.
double top_c(const Curve& curve, std::size_t first, std::size_t last) {
  std::vector<std::pair<double, double>> spans;  // temperature, how long
  double whole = 0;
  for (std::size_t i = first; i < last; ++i) {
    const double step = curve.readings[i + 1].at_s - curve.readings[i].at_s;
    spans.emplace_back((curve.readings[i].cold_c + curve.readings[i + 1].cold_c) / 2, step);
    whole += step;
  }
  std::sort(spans.begin(), spans.end());
  double before = 0;
  for (const auto& [temperature, step] : spans) {
    before += step;
    if (before >= 0.9 * whole) return temperature;
  }
  return curve.readings[first].cold_c;
}

}  // namespace

double cold_at(const Curve& curve, double at_s) {
  const auto& readings = curve.readings;
  const auto after = std::lower_bound(readings.begin(), readings.end(), at_s,
                                      [](const Reading& one, double at) { return one.at_s < at; });
  if (after == readings.begin()) return readings.front().cold_c;
  if (after == readings.end()) return readings.back().cold_c;
  const Reading& before = *std::prev(after);
  const double step = after->at_s - before.at_s;
  if (!(step > 0)) return after->cold_c;
  return before.cold_c + (at_s - before.at_s) / step * (after->cold_c - before.cold_c);
}

std::optional<Top> top_of(const Curve& curve) {
  const auto& readings = curve.readings;
  const auto hot = [](const Reading& one) { return one.cold_c >= hot_c; };
  const auto first_hot = std::find_if(readings.begin(), readings.end(), hot);
  const auto last_hot = std::find_if(readings.rbegin(), readings.rend(), hot);
  if (first_hot == readings.end()) return std::nullopt;
  const auto first = static_cast<std::size_t>(first_hot - readings.begin());
  const auto last = readings.size() - 1 - static_cast<std::size_t>(last_hot - readings.rbegin());
  if (last - first + 1 < readings_least) return std::nullopt;
  Top top{.from_s = 0, .until_s = 0, .top_c = top_c(curve, first, last)};
  const double level = top.top_c - sketch_depth_k;
  const auto above = [&](const Reading& one) { return one.cold_c >= level; };
  const auto rises = static_cast<std::size_t>(std::find_if(readings.begin(), readings.end(), above) - readings.begin());
  const auto falls =
      readings.size() - 1 -
      static_cast<std::size_t>(std::find_if(readings.rbegin(), readings.rend(), above) - readings.rbegin());
  if (rises == 0 || falls + 1 >= readings.size() || falls - rises + 1 < readings_least) return std::nullopt;
  top.from_s = passes_s(readings[rises - 1], readings[rises], level);
  top.until_s = passes_s(readings[falls], readings[falls + 1], level);
  return top;
}

std::optional<Sketch> sketch_of(const Curve& curve, double step_s) {
  const auto top = top_of(curve);
  if (!top || !(top->until_s > top->from_s)) return std::nullopt;
  Sketch sketch{.width_s = top->until_s - top->from_s, .step_s = step_s, .below_k = {}};
  for (std::size_t i = 0; i < sketch.below_k.size(); ++i) {
    const double part = static_cast<double>(i) / static_cast<double>(sketch.below_k.size() - 1);
    const double below = top->top_c - cold_at(curve, top->from_s + part * sketch.width_s);
    sketch.below_k[i] = static_cast<float>(std::clamp(below, -300.0, 300.0));
  }
  return sketch;
}

Bytes encode_sketch(const std::optional<Sketch>& sketch) {
  if (!sketch) return {};
  Packer out;
  out.number(format);
  out.real(sketch->width_s);
  out.real(sketch->step_s);
  for (const float below : sketch->below_k) out.signed_number(std::llround(below / unit_k));
  return out.done();
}

std::optional<Sketch> decode_sketch(ByteView bytes) {
  Unpacker in(bytes);
  const auto version = in.number(format);
  const auto width = in.real();
  const auto step = in.real();
  if (version != format || !width || !step || !std::isfinite(*width) || !std::isfinite(*step)) return std::nullopt;
  Sketch sketch{.width_s = *width, .step_s = *step, .below_k = {}};
  for (float& below : sketch.below_k) {
    const auto value = in.signed_number();
    if (!value || *value < -30'000 || *value > 30'000) return std::nullopt;
    below = static_cast<float>(static_cast<double>(*value) * unit_k);
  }
  return in.at_end() ? std::optional(sketch) : std::nullopt;
}

std::optional<double> apart_k(const Sketch& a, const Sketch& b) {
  // Where a ramp is steep, noise and the line between readings move its crossing by some seconds.
  const double slack_s = 20 + 0.5 * std::max(a.step_s, b.step_s);
  if (!(std::abs(a.width_s - b.width_s) <= slack_s)) return std::nullopt;
  float mean = 0;
  for (std::size_t i = 0; i < a.below_k.size(); ++i) mean += a.below_k[i] - b.below_k[i];
  mean /= static_cast<float>(a.below_k.size());
  float sum = 0;
  for (std::size_t i = 0; i < a.below_k.size(); ++i) {
    const float apart = a.below_k[i] - b.below_k[i] - mean;
    sum += apart * apart;
  }
  return std::sqrt(static_cast<double>(sum) / static_cast<double>(a.below_k.size()));
}

}  // namespace trayproof::judging
