#include "importer/judging/outline.h"

#include <algorithm>

#include "importer/judging/packed.h"

namespace trayproof::judging {
namespace {

constexpr double step_least_s = 0.01;

double usual_step_s(const std::vector<double>& at_s) {
  std::vector<double> steps;
  for (std::size_t i = 1; i < at_s.size(); ++i) steps.push_back(at_s[i] - at_s[i - 1]);
  if (steps.empty()) return step_least_s;
  const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
  std::nth_element(steps.begin(), middle, steps.end());
  return std::max(*middle, step_least_s);
}

std::span<const double> of_top(const Outline& outline, const std::vector<double>& values) {
  const auto& at_s = outline.at_s;
  const auto first = std::lower_bound(at_s.begin(), at_s.end(), outline.top.from_s);
  const auto end = std::upper_bound(first, at_s.end(), outline.top.until_s);
  return std::span(values).subspan(static_cast<std::size_t>(first - at_s.begin()),
                                   static_cast<std::size_t>(end - first));
}

}  // namespace

std::optional<Outline> outline_of(const Curve& curve) {
  const auto top = top_of(curve);
  if (!top) return std::nullopt;
  Outline out{.at_s = {}, .cold_c = {}, .top = *top, .step_s = 0};
  out.at_s.reserve(curve.readings.size());
  out.cold_c.reserve(curve.readings.size());
  for (const Reading& one : curve.readings) {
    out.at_s.push_back(one.at_s);
    out.cold_c.push_back(one.cold_c);
  }
  out.step_s = usual_step_s(out.at_s);
  return out;
}

std::span<const double> at_s_of_top(const Outline& outline) { return of_top(outline, outline.at_s); }
std::span<const double> cold_c_of_top(const Outline& outline) { return of_top(outline, outline.cold_c); }

Bytes encode_outline(const Outline& outline) {
  Packer out;
  out.number(outline.at_s.size());
  for (const double value : {outline.top.from_s, outline.top.until_s, outline.top.top_c, outline.step_s})
    out.real(value);
  out.column(outline.at_s, Packer::Kind::time);
  out.column(outline.cold_c, Packer::Kind::temperature);
  return out.done();
}

std::optional<Outline> decode_outline(ByteView bytes) {
  Unpacker in(bytes);
  const auto size = in.number(stretch_values_max);
  const auto from = in.real();
  const auto until = in.real();
  const auto top = in.real();
  const auto step = in.real();
  if (!size || !from || !until || !top || !step) return std::nullopt;
  auto times = in.column(*size, Packer::Kind::time);
  auto temperatures = times ? in.column(*size, Packer::Kind::temperature) : std::nullopt;
  if (!temperatures || !in.at_end()) return std::nullopt;
  return Outline{.at_s = std::move(*times),
                 .cold_c = std::move(*temperatures),
                 .top = {.from_s = *from, .until_s = *until, .top_c = *top},
                 .step_s = *step};
}

}  // namespace trayproof::judging
