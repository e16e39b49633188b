// Pages drawn by a pen, as the bytes of a file. Points (1/72 inch), y downward, black on white. The same drawing gives
// the same bytes. Included by this room's .cpp files only.
#pragma once

#include <functional>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "ledger/base/time.h"
#include "report/ink/pen.h"
#include "report/label/drawing.h"

namespace trayproof::label {

struct Pages {
  double width, height;
  std::size_t count = 1;   // one where the drawing is no PDF
  Instant created{0};      // stands in a PDF; from the record, never from the clock
  std::string title = {};  // of a PDF
};

Result<Bytes> print(Drawing drawing, const Pages& pages, const std::function<void(cairo_t*, std::size_t page)>& draw);

}  // namespace trayproof::label
