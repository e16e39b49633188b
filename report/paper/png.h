// A drawing as a PNG, for the workbook, whose pictures cannot be SVG. The same drawing gives the same bytes.
#pragma once

#include <functional>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "report/picture/canvas.h"
#include "report/picture/curve.h"

namespace trayproof::paper {

struct Png {
  Bytes bytes;
  double width = 0;  // of the drawing in its own units; the picture has `pixels_a_unit` for each
  double height = 0;
};

inline constexpr double pixels_a_unit = 2;

// What draws on a canvas and answers how high the drawing is; called twice.
using Drawing = std::function<double(picture::Canvas& canvas)>;
Result<Png> png_of(const Drawing& draw);
Result<Png> png_of(const picture::Curve& curve);

}  // namespace trayproof::paper
