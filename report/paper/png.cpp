#include "report/paper/png.h"

#include <cmath>

#include "ledger/words/words.h"
#include "report/paper/ink.h"
#include "report/picture/draw.h"

namespace trayproof::paper {
namespace {

// A drawing that is only measured.
double height_of_drawing(const Drawing& draw) {
  const Surface surface(cairo_recording_surface_create(CAIRO_CONTENT_ALPHA, nullptr));
  const Pen pen(cairo_create(surface.get()));
  InkCanvas canvas(pen.get());
  return draw(canvas);
}

Error failed(cairo_status_t status) {
  return {ErrorCode::unavailable, say("paper.not-drawn", {{"found", cairo_status_to_string(status)}})};
}

}  // namespace

Result<Png> png_of(const picture::Curve& curve) {
  return png_of([&](picture::Canvas& canvas) { return picture::draw_on(canvas, curve); });
}

Result<Png> png_of(const Drawing& draw) {
  Png png{.bytes = {}, .width = picture::page_width, .height = std::ceil(height_of_drawing(draw))};
  const Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(png.width * pixels_a_unit),
                                                   static_cast<int>(png.height * pixels_a_unit)));
  {
    const Pen pen(cairo_create(surface.get()));
    cairo_set_source_rgb(pen.get(), 1, 1, 1);
    cairo_paint(pen.get());
    cairo_set_source_rgb(pen.get(), 0, 0, 0);
    cairo_scale(pen.get(), pixels_a_unit, pixels_a_unit);
    InkCanvas canvas(pen.get());
    draw(canvas);
    if (const auto status = cairo_status(pen.get()); status != CAIRO_STATUS_SUCCESS) return failed(status);
  }
  const auto status = cairo_surface_write_to_png_stream(surface.get(), ink::append, &png.bytes);
  if (status != CAIRO_STATUS_SUCCESS) return failed(status);
  return png;
}

}  // namespace trayproof::paper
