// A curve as a PNG, for the workbook, whose pictures cannot be SVG. The same curve gives the same bytes.
#pragma once

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "report/picture/curve.h"

namespace trayproof::paper {

struct Png {
  Bytes bytes;
  double width = 0;  // of the drawing in its own units; the picture has `pixels_a_unit` for each
  double height = 0;
};

inline constexpr double pixels_a_unit = 2;

Result<Png> png_of(const picture::Curve& curve);

}  // namespace trayproof::paper
