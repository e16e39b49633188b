// A curve as it is laid over others (`likeness.h`): when it was how warm, and what every comparison asks of it, made
// once. Few bytes hold it, so that a search reads each curve of a ledger once and the one that it wants at any time.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "importer/judging/curve.h"
#include "importer/judging/sketch.h"
#include "ledger/base/bytes.h"

namespace trayproof::judging {

struct Outline {
  std::vector<double> at_s;    // in order
  std::vector<double> cold_c;  // the coldest channel in the load, reading by reading
  Top top;
  double step_s = 0;  // the usual one
};
// Nothing for a curve without a top (`top_of`).
std::optional<Outline> outline_of(const Curve& curve);
// Of the readings between the times of its top.
std::span<const double> at_s_of_top(const Outline& outline);
std::span<const double> cold_c_of_top(const Outline& outline);

// For this process alone, in no format that is kept. What comes back is what was put, bit for bit.
Bytes encode_outline(const Outline& outline);
// Nothing where these are not such bytes.
std::optional<Outline> decode_outline(ByteView bytes);

}  // namespace trayproof::judging
