// Whether two curves are one and the same, copied: shifted in time, with a constant added, sampled at another step
// or averaged over it, with a little noise on top. Cycles of one sterilizer look alike too; what they never share is
// the noise of the sensor and the seconds at which things happen. docs/import-reading.md, "The same curve again", is
// the authority, with what was measured.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "importer/judging/curve.h"
#include "importer/judging/outline.h"
#include "importer/judging/sketch.h"

namespace trayproof::judging {

// One curve laid over the other as well as can be.
struct Likeness {
  double shift_s = 0;      // the second is that much later
  double offset_k = 0;     // and that much warmer
  double rms_k = 0;        // what is left of the difference
  double noise_k = 0;      // of that, what jumps from reading to reading
  double slow_k = 0;       // the largest mean difference over a stretch, beyond what noise makes
  double shared = 0;       // how far the jitter of the top is that of both: 1 the same, 0 none of it
  std::size_t on_top = 0;  // readings on which that was seen
  double nearness = 0;     // of few readings: how improbable it is that two cycles come so near (negative logarithm)
  std::optional<double> improbable;  // the same among all curves near to it, where these are many (`Crowd`)
  std::size_t on_ramp = 0;           // readings more than three kelvins below the top: they tell the seconds
};

// How one curve lies over the other where least is left of the difference: enough to tell which of many is likest.
struct Overlaid {
  enum class Way { coarse_over_fine, coarse_over_means, fine_over_coarse };
  Way way = Way::coarse_over_fine;
  double shift_s = 0;  // of what lies under against what lies over
  double rms_k = 0;
};
// Nothing where they do not cover each other.
std::optional<Overlaid> overlaid(const Outline& one, const Outline& other);
// What is told of two that lie so.
Likeness likeness(const Outline& one, const Outline& other, const Overlaid& lie);
// Nothing where either has no top (`top_of`), or they do not cover each other.
std::optional<Likeness> likeness(const Curve& one, const Curve& other);

// Alike in everything slow: the seconds of the ramps and the shape of the top.
bool is_alike(const Likeness& found);
// `next_rms_k`: of the curve that comes next in likeness; nothing when none is near.
bool is_same_curve(const Likeness& found, const std::optional<double>& next_rms_k);

inline constexpr double near_k = 1.5;  // sketches that may be of one curve lie no further from each other

// Among many: the places of the nearest sketches, the nearest first. `usable` leaves out those that cannot count.
std::vector<std::size_t> nearest(std::size_t count, const std::function<const Sketch*(std::size_t)>& usable,
                                 const Sketch& sketch);

// The likest of those that were looked at, and what comes next to it.
class Likest {
 public:
  // Whether it is the likest so far.
  bool offer(std::size_t place, const Overlaid& lie);
  const std::optional<std::size_t>& place() const { return place_; }
  const Overlaid& lie() const { return best_; }
  const std::optional<double>& next_rms_k() const { return next_rms_k_; }

 private:
  std::optional<std::size_t> place_;
  Overlaid best_;
  std::optional<double> next_rms_k_;
};

}  // namespace trayproof::judging
