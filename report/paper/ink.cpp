#include "report/paper/ink.h"

#include <charconv>

namespace trayproof::paper {
namespace {

// "6 3" as lengths.
std::vector<double> lengths_of(std::string_view dashes) {
  std::vector<double> out;
  while (!dashes.empty()) {
    double length = 0;
    const auto read = std::from_chars(dashes.data(), dashes.data() + dashes.size(), length);
    if (read.ec == std::errc()) out.push_back(length);
    const std::size_t blank = dashes.find(' ');
    dashes.remove_prefix(blank == std::string_view::npos ? dashes.size() : blank + 1);
  }
  return out;
}

void trace(cairo_t* pen, const picture::Stroke& stroke) {
  bool first = true;
  for (const picture::Place& place : stroke) {
    if (first)
      cairo_move_to(pen, place.x, place.y);
    else
      cairo_line_to(pen, place.x, place.y);
    first = false;
  }
  // A single reading between two holes would leave no mark.
  if (stroke.size() == 1) cairo_rel_line_to(pen, 0.1, 0);
}

}  // namespace

Layout set(cairo_t* pen, std::string_view text, const Setting& setting) {
  Layout layout(pango_cairo_create_layout(pen));
  const ink::Font font(pango_font_description_new());
  pango_font_description_set_family_static(font.get(), setting.fixed_width ? "Noto Sans Mono, monospace" : "Noto Sans");
  pango_font_description_set_absolute_size(font.get(), setting.size * PANGO_SCALE);
  if (setting.weight == Weight::bold) pango_font_description_set_weight(font.get(), PANGO_WEIGHT_BOLD);
  pango_layout_set_font_description(layout.get(), font.get());
  ink::never_hyphenate(layout.get());
  if (setting.width >= 0) {
    pango_layout_set_width(layout.get(), static_cast<int>(setting.width * PANGO_SCALE));
    pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
  }
  pango_layout_set_text(layout.get(), text.data(), static_cast<int>(text.size()));
  return layout;
}

double height_of(PangoLayout* layout) {
  int height = 0;
  pango_layout_get_size(layout, nullptr, &height);
  return static_cast<double>(height) / PANGO_SCALE;
}

double width_of(PangoLayout* layout) {
  int width = 0;
  pango_layout_get_size(layout, &width, nullptr);
  return static_cast<double>(width) / PANGO_SCALE;
}

void show(cairo_t* pen, PangoLayout* layout, double x, double y) {
  cairo_move_to(pen, x, y);
  pango_cairo_show_layout(pen, layout);
}

void InkCanvas::text(picture::Place base, std::string_view plain, const picture::Type& type) {
  const Layout layout = set(pen_, plain, {.size = type.size, .weight = type.bold ? Weight::bold : Weight::normal});
  const double x = type.ends_here ? base.x - width_of(layout.get()) : base.x;
  const double y = base.y - static_cast<double>(pango_layout_get_baseline(layout.get())) / PANGO_SCALE;
  if (type.rim) {
    cairo_save(pen_);
    cairo_move_to(pen_, x, y);
    pango_cairo_layout_path(pen_, layout.get());
    cairo_set_source_rgb(pen_, 1, 1, 1);
    cairo_set_line_width(pen_, 3);
    cairo_set_line_join(pen_, CAIRO_LINE_JOIN_ROUND);
    cairo_stroke(pen_);
    cairo_restore(pen_);
  }
  show(pen_, layout.get(), x, y);
}

void InkCanvas::stroke(const picture::Line& line) {
  const auto dashes = lengths_of(line.dashes);
  cairo_set_dash(pen_, dashes.data(), static_cast<int>(dashes.size()), 0);
  cairo_set_line_width(pen_, line.width);
  cairo_stroke(pen_);
  cairo_set_dash(pen_, nullptr, 0, 0);
}

void InkCanvas::rule(picture::Place from, picture::Place until, const picture::Line& line) {
  trace(pen_, {from, until});
  stroke(line);
}

void InkCanvas::lines(const std::vector<picture::Stroke>& strokes, const picture::Line& line) {
  cairo_set_line_join(pen_, CAIRO_LINE_JOIN_ROUND);
  for (const picture::Stroke& one : strokes) trace(pen_, one);
  stroke(line);
}

void InkCanvas::frame(const picture::Box& box, double width) {
  cairo_rectangle(pen_, box.left, box.top, box.width, box.height);
  stroke({.width = width, .dashes = {}});
}

void InkCanvas::shade(const picture::Box& box, double darkness) {
  cairo_save(pen_);
  cairo_set_source_rgba(pen_, 0, 0, 0, darkness);
  cairo_rectangle(pen_, box.left, box.top, box.width, box.height);
  cairo_fill(pen_);
  cairo_restore(pen_);
}

void InkCanvas::shade(const picture::Stroke& outline, double darkness) {
  cairo_save(pen_);
  cairo_set_source_rgba(pen_, 0, 0, 0, darkness);
  trace(pen_, outline);
  cairo_close_path(pen_);
  cairo_fill(pen_);
  cairo_restore(pen_);
}

}  // namespace trayproof::paper
