#include "report/label/print.h"

#include "ledger/base/check.h"
#include "ledger/words/words.h"

namespace trayproof::label {
namespace {

constexpr double pixels_a_point = 300.0 / 72;

ink::Surface surface_for(Drawing drawing, const Pages& pages, Bytes& bytes) {
  switch (drawing) {
    case Drawing::svg:
      return ink::Surface(cairo_svg_surface_create_for_stream(ink::append, &bytes, pages.width, pages.height));
    case Drawing::png:
      return ink::Surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(pages.width * pixels_a_point),
                                                     static_cast<int>(pages.height * pixels_a_point)));
    case Drawing::pdf:
      return ink::Surface(cairo_pdf_surface_create_for_stream(ink::append, &bytes, pages.width, pages.height));
  }
  CHECK(false);
  return nullptr;
}

Result<void> is_well(cairo_status_t status) {
  if (status == CAIRO_STATUS_SUCCESS) return {};
  return Error(ErrorCode::unavailable, say("label.not-drawn", {{"found", cairo_status_to_string(status)}}));
}

}  // namespace

Result<Bytes> print(Drawing drawing, const Pages& pages, const std::function<void(cairo_t*, std::size_t page)>& draw) {
  CHECK(drawing == Drawing::pdf || pages.count == 1);
  Bytes bytes;
  const ink::Surface surface = surface_for(drawing, pages, bytes);
  if (drawing == Drawing::pdf) {
    // Without it the library would write the present time.
    const std::string created = format_date_time({pages.created, 0});
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, created.c_str());
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, pages.title.c_str());
  }
  {
    const ink::Pen pen(cairo_create(surface.get()));
    if (drawing == Drawing::png) cairo_scale(pen.get(), pixels_a_point, pixels_a_point);
    for (std::size_t page = 0; page < pages.count; ++page) {
      cairo_set_source_rgb(pen.get(), 1, 1, 1);
      cairo_paint(pen.get());
      cairo_set_source_rgb(pen.get(), 0, 0, 0);
      draw(pen.get(), page);
      cairo_show_page(pen.get());
    }
    TRY(is_well(cairo_status(pen.get())));
  }
  if (drawing == Drawing::png) TRY(is_well(cairo_surface_write_to_png_stream(surface.get(), ink::append, &bytes)));
  cairo_surface_finish(surface.get());
  TRY(is_well(cairo_surface_status(surface.get())));
  return bytes;
}

}  // namespace trayproof::label
