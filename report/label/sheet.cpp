#include "report/label/sheet.h"

#include <algorithm>

#include "ledger/base/check.h"
#include "ledger/words/words.h"

namespace trayproof::label {
namespace {

constexpr double sheet_width = 210 * mm;
constexpr double sheet_height = 297 * mm;
constexpr std::size_t columns = 2;
constexpr double left = (sheet_width - columns * cell_width) / 2;
constexpr double top = (sheet_height - labels_a_sheet / columns * cell_height) / 2;

void cut_lines(cairo_t* pen) {
  cairo_set_line_width(pen, 0.3);
  const double dashes[] = {3, 3};
  cairo_set_dash(pen, dashes, 2, 0);
  for (std::size_t column = 0; column <= columns; ++column) {
    const double x = left + static_cast<double>(column) * cell_width;
    cairo_move_to(pen, x, top);
    cairo_line_to(pen, x, sheet_height - top);
  }
  for (std::size_t row = 0; row <= labels_a_sheet / columns; ++row) {
    const double y = top + static_cast<double>(row) * cell_height;
    cairo_move_to(pen, left, y);
    cairo_line_to(pen, sheet_width - left, y);
  }
  cairo_stroke(pen);
  cairo_set_dash(pen, nullptr, 0, 0);
}

}  // namespace

std::size_t pages_of(std::size_t labels, Layout layout) {
  return layout == Layout::single ? labels : (labels + labels_a_sheet - 1) / labels_a_sheet;
}

Result<Bytes> draw_cells(const Cells& cells, const std::function<void(cairo_t*, std::size_t cell)>& draw) {
  CHECK(cells.count > 0);
  const std::size_t count = pages_of(cells.count, cells.layout);
  if (count > 1 && cells.drawing != Drawing::pdf) {
    return Error(ErrorCode::invalid, say("label.one-page", {{"found", std::to_string(cells.count)},
                                                            {"most", std::to_string(labels_a_sheet)}}));
  }
  const bool single = cells.layout == Layout::single;
  const Pages pages{.width = single ? cell_width : sheet_width,
                    .height = single ? cell_height : sheet_height,
                    .count = count,
                    .created = cells.created,
                    .title = cells.title};
  return print(cells.drawing, pages, [&](cairo_t* pen, std::size_t page) {
    if (single) {
      draw(pen, page);
      return;
    }
    cut_lines(pen);
    const std::size_t first = page * labels_a_sheet;
    for (std::size_t i = first; i < std::min(cells.count, first + labels_a_sheet); ++i) {
      const std::size_t place = i - first;
      cairo_save(pen);
      cairo_translate(pen, left + static_cast<double>(place % columns) * cell_width,
                      top + static_cast<double>(place / columns) * cell_height);
      draw(pen, i);
      cairo_restore(pen);
    }
  });
}

}  // namespace trayproof::label
