// Cells of one size on sheets or alone (layout.h). Included by this room's .cpp files only.
#pragma once

#include <functional>
#include <string>

#include "report/label/layout.h"
#include "report/label/print.h"

namespace trayproof::label {

inline constexpr double mm = 72 / 25.4;
inline constexpr double cell_width = 95 * mm;
inline constexpr double cell_height = 54 * mm;

struct Cells {
  std::size_t count = 0;  // one or more
  Layout layout = Layout::sheet;
  Drawing drawing = Drawing::pdf;
  Instant created{0};
  std::string title;
};
// `draw` is called for each with the pen at its upper left corner. Invalid when a picture that holds one page would need
// more.
Result<Bytes> draw_cells(const Cells& cells, const std::function<void(cairo_t*, std::size_t cell)>& draw);

}  // namespace trayproof::label
