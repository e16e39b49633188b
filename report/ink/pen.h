// The one include of cairo and pango: what they open is closed, and what they write goes into bytes. Included by the
// .cpp files of rooms that draw; others see bytes.
#pragma once

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <pango/pangocairo.h>

#include <memory>

#include "ledger/base/bytes.h"

namespace trayproof::ink {

struct SurfaceCloser {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
using Surface = std::unique_ptr<cairo_surface_t, SurfaceCloser>;
struct PenCloser {
  void operator()(cairo_t* pen) const { cairo_destroy(pen); }
};
using Pen = std::unique_ptr<cairo_t, PenCloser>;
struct LayoutCloser {
  void operator()(PangoLayout* layout) const { g_object_unref(layout); }
};
using Layout = std::unique_ptr<PangoLayout, LayoutCloser>;
struct FontCloser {
  void operator()(PangoFontDescription* font) const { pango_font_description_free(font); }
};
using Font = std::unique_ptr<PangoFontDescription, FontCloser>;

// A hyphen at the end of a line would become part of an id or a command that somebody copies.
inline void never_hyphenate(PangoLayout* layout) {
  PangoAttrList* const attributes = pango_attr_list_new();
  pango_attr_list_insert(attributes, pango_attr_insert_hyphens_new(FALSE));
  pango_layout_set_attributes(layout, attributes);
  pango_attr_list_unref(attributes);
}

// The library's way to write: `bytes` is the Bytes that it is appended to.
inline cairo_status_t append(void* bytes, const unsigned char* more, unsigned int count) {
  auto& out = *static_cast<Bytes*>(bytes);
  out.insert(out.end(), more, more + count);
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace trayproof::ink
