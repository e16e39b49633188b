// The top of a kept curve as few numbers, by which the original of a copy with few readings is found among thousands:
// there the sketch's parts fall between the readings, and tell curves of one machine no more apart than a copy from its
// original.
#pragma once

#include <functional>
#include <vector>

#include "importer/judging/curve.h"
#include "importer/judging/sketch.h"

namespace trayproof::judging {

// A curve of so few readings above its sketch's depth is looked for by traces.
bool has_few_readings(const Curve& curve);

struct Trace {
  double first_s = 0;  // after `Top::from_s`
  double step_s = 0;
  std::vector<float> cold_c;  // at most 256; empty where the curve has no top
};
Trace trace_of(const Curve& curve);

// Of the readings at the top of `curve`: how far they lie from that trace, their mean difference taken away.
double apart_at_top_k(const Curve& curve, const Top& top, const Trace& trace);

// Among many, for a curve of few readings: the places of those likest at the top. `usable` as of `nearest`.
std::vector<std::size_t> likest_at_top(std::size_t count, const std::function<const Sketch*(std::size_t)>& usable,
                                       const std::function<const Trace*(std::size_t)>& trace, const Curve& curve,
                                       const Sketch& sketch);

}  // namespace trayproof::judging
