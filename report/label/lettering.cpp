#include "report/label/lettering.h"

namespace trayproof::label {

void draw_code(cairo_t* pen, const QrCode& code, const Square& where) {
  const double module = where.side / static_cast<double>(code.size + 2 * quiet_modules);
  cairo_save(pen);
  cairo_translate(pen, where.x, where.y);
  cairo_scale(pen, module, module);
  cairo_set_antialias(pen, CAIRO_ANTIALIAS_NONE);  // hard edges for the scanner
  for (std::size_t row = 0; row < code.size; ++row) {
    for (std::size_t column = 0; column < code.size; ++column) {
      if (!code.dark(row, column)) continue;
      cairo_rectangle(pen, static_cast<double>(column + quiet_modules), static_cast<double>(row + quiet_modules), 1, 1);
    }
  }
  cairo_fill(pen);
  cairo_restore(pen);
}

void Column::line(const std::string& text, const char* font, double before, int lines_max) {
  place_.y += before;
  const ink::Layout layout(pango_cairo_create_layout(pen_));
  const ink::Font described(pango_font_description_from_string(font));
  pango_font_description_set_absolute_size(described.get(), pango_font_description_get_size(described.get()));
  pango_layout_set_font_description(layout.get(), described.get());
  pango_layout_set_width(layout.get(), static_cast<int>(place_.width * PANGO_SCALE));
  pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
  pango_layout_set_height(layout.get(), -lines_max);
  pango_layout_set_ellipsize(layout.get(), PANGO_ELLIPSIZE_END);
  pango_layout_set_text(layout.get(), text.data(), static_cast<int>(text.size()));
  cairo_move_to(pen_, place_.x, place_.y);
  pango_cairo_show_layout(pen_, layout.get());
  int lines_height = 0;
  pango_layout_get_size(layout.get(), nullptr, &lines_height);
  place_.y += static_cast<double>(lines_height) / PANGO_SCALE;
}

}  // namespace trayproof::label
