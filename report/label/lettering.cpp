#include "report/label/lettering.h"

#include <algorithm>
#include <string_view>

namespace trayproof::label {
namespace {

// An option of a command ("--checkpoint") stands on one line: "--" at the end of one would be typed with a blank.
void keep_options_whole(PangoLayout* layout, std::string_view text) {
  PangoAttrList* const attributes = pango_attr_list_copy(pango_layout_get_attributes(layout));
  for (std::size_t at = 0; (at = text.find(" --", at)) != std::string_view::npos;) {
    PangoAttribute* const whole = pango_attr_allow_breaks_new(FALSE);
    whole->start_index = static_cast<guint>(++at);
    at = std::min(text.find(' ', at), text.size());
    whole->end_index = static_cast<guint>(at);
    pango_attr_list_insert(attributes, whole);
  }
  pango_layout_set_attributes(layout, attributes);
  pango_attr_list_unref(attributes);
}

// Small letters at their own distances, not at whole points.
void space_truly(PangoLayout* layout) {
  cairo_font_options_t* const options = cairo_font_options_create();
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  PangoContext* const context = pango_layout_get_context(layout);
  pango_cairo_context_set_font_options(context, options);
  cairo_font_options_destroy(options);
  pango_context_set_round_glyph_positions(context, FALSE);
  pango_layout_context_changed(layout);
}

ink::Layout set(cairo_t* pen, const std::string& text, const Type& type, double width) {
  ink::Layout layout(pango_cairo_create_layout(pen));
  space_truly(layout.get());
  const ink::Font font(pango_font_description_from_string(type.font));
  pango_font_description_set_absolute_size(font.get(), type.size * PANGO_SCALE);
  pango_layout_set_font_description(layout.get(), font.get());
  ink::never_hyphenate(layout.get());
  keep_options_whole(layout.get(), text);
  pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
  if (width > 0) pango_layout_set_width(layout.get(), static_cast<int>(width * PANGO_SCALE));
  pango_layout_set_text(layout.get(), text.data(), static_cast<int>(text.size()));
  return layout;
}

struct Extent {
  double width, height;
};
Extent extent_of(PangoLayout* layout) {
  int width = 0;
  int height = 0;
  pango_layout_get_size(layout, &width, &height);
  return {static_cast<double>(width) / PANGO_SCALE, static_cast<double>(height) / PANGO_SCALE};
}

}  // namespace

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

double width_of(cairo_t* pen, const std::string& text, const Type& type) {
  return extent_of(set(pen, text, type, 0).get()).width;
}

void Column::show(PangoLayout* layout) {
  cairo_move_to(pen_, place_.x, place_.y);
  pango_cairo_show_layout(pen_, layout);
  place_.y += extent_of(layout).height;
}

void Column::line(const std::string& text, const Type& type, double before, int lines_max) {
  place_.y += before;
  const ink::Layout layout = set(pen_, text, type, place_.width);
  pango_layout_set_height(layout.get(), -lines_max);
  pango_layout_set_ellipsize(layout.get(), PANGO_ELLIPSIZE_END);
  show(layout.get());
}

void Column::whole(const std::string& text, const Type& type, double before, int lines) {
  place_.y += before;
  Type smaller = type;
  ink::Layout layout = set(pen_, text, smaller, place_.width);
  while (pango_layout_get_line_count(layout.get()) > lines && smaller.size > least_size) {
    smaller.size -= size_step;
    layout = set(pen_, text, smaller, place_.width);
  }
  show(layout.get());
}

void Column::all_above(double bottom, std::vector<Piece> pieces) {
  const auto height = [&] {
    double sum = 0;
    for (const Piece& one : pieces) sum += extent_of(set(pen_, one.text, one.type, place_.width).get()).height;
    return sum;
  };
  const auto can_shrink = [](const Piece& one) { return one.type.size > least_size; };
  while (place_.y + height() > bottom && std::any_of(pieces.begin(), pieces.end(), can_shrink)) {
    for (Piece& one : pieces) one.type.size = std::max(least_size, one.type.size - size_step);
  }
  for (const Piece& one : pieces) show(set(pen_, one.text, one.type, place_.width).get());
}

}  // namespace trayproof::label
