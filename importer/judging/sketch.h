// A curve in few bytes, such that the same curve has nearly the same sketch wherever its time begins, whatever constant
// is added to it and at whatever step it was sampled. Ten thousand of them are compared in a moment; only curves whose
// sketches are close are looked at themselves (`likeness.h`). docs/curve-format.md is the authority.
#pragma once

#include <array>
#include <optional>

#include "importer/judging/curve.h"
#include "importer/judging/phases.h"
#include "ledger/base/bytes.h"

namespace trayproof::judging {

inline constexpr double sketch_depth_k = 40;  // how far below its top a curve is drawn

// The part of a curve that is compared: from where it rises past `sketch_depth_k` below its top to where it falls
// below.
struct Top {
  double from_s = 0;
  double until_s = 0;
  double top_c = 0;  // nine tenths of the hot time are not above
};
// Nothing for a curve that does not rise and fall so, or that has fewer than eight readings there.
std::optional<Top> top_of(const Curve& curve);

struct Sketch {
  double width_s = 0;
  double step_s = 0;                // the usual one
  std::array<float, 64> below_k{};  // the top less the temperature, at equal parts of the width
};
std::optional<Sketch> sketch_of(const Curve& curve, double step_s);

// Empty bytes where there is none.
Bytes encode_sketch(const std::optional<Sketch>& sketch);
std::optional<Sketch> decode_sketch(ByteView bytes);

// How far apart two sketches are in kelvins, the mean of squares; nothing where they cannot be of one curve.
std::optional<double> apart_k(const Sketch& a, const Sketch& b);

// The temperature between two readings lies on the line between them; `at_s` within the curve.
double cold_at(const Curve& curve, double at_s);

}  // namespace trayproof::judging
