// The top of a kept curve as few numbers, by which the original of a copy with few readings is found among thousands:
// there the sketch's parts fall between the readings, and tell curves of one machine no more apart than a copy from its
// original.
#pragma once

#include <functional>
#include <utility>
#include <vector>

#include "importer/judging/crowd.h"
#include "importer/judging/outline.h"
#include "importer/judging/sketch.h"
#include "ledger/base/result.h"

namespace trayproof::judging {

// A curve of so few readings above its sketch's depth is looked for by traces.
bool has_few_readings(const Outline& curve);

struct Trace {
  double first_s = 0;  // after `Top::from_s`
  double step_s = 0;
  std::vector<float> cold_c;  // at most 256; empty where the top has no width
};
Trace trace_of(const Outline& curve);

// How far the readings of the curve's top, `step_s` apart, lie from that trace: from the line between its values or,
// where it is finer, from their means over a step, whichever is nearer.
Apart apart_from(const Outline& curve, double step_s, const Trace& trace);

// Among many, for a curve of few readings.
struct LikestAtTop {
  std::vector<std::pair<Apart, std::size_t>> places;  // the likest at the top, the likest first
  Crowd crowd;                                        // all that are near
  // `Crowd::improbable` of the curve at that place; nought where it is not among the likest.
  std::optional<double> improbable(std::size_t place) const;
};
// `usable` as of `nearest`; `trace` is asked for those that are near.
Result<LikestAtTop> likest_at_top(std::size_t count, const std::function<const Sketch*(std::size_t)>& usable,
                                  const std::function<Result<const Trace*>(std::size_t)>& trace, const Outline& curve,
                                  const Sketch& sketch);

}  // namespace trayproof::judging
