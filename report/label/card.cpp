#include "report/label/card.h"

#include "ledger/words/words.h"
#include "report/ink/pen.h"
#include "report/label/qr.h"

namespace trayproof::label {
namespace {

// In points (1/72 inch). A card of 148 by 84 mm fits twice on a page of a register.
constexpr double width = 420;
constexpr double height = 238;
constexpr double margin = 12;
constexpr double code_side = 214;  // with its quiet zone
constexpr double pixels_a_point = 300.0 / 72;

void draw_code(cairo_t* pen, const QrCode& code) {
  const double module = code_side / static_cast<double>(code.size + 2 * quiet_modules);
  cairo_save(pen);
  cairo_translate(pen, margin, margin);
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

// Lines of text, one under the other, wrapped where the card ends.
class Column {
 public:
  explicit Column(cairo_t* pen) : pen_(pen) {}
  void line(const std::string& text, const char* font, double before) {
    y_ += before;
    const ink::Layout layout(pango_cairo_create_layout(pen_));
    const ink::Font described(pango_font_description_from_string(font));
    pango_font_description_set_absolute_size(described.get(), pango_font_description_get_size(described.get()));
    pango_layout_set_font_description(layout.get(), described.get());
    pango_layout_set_width(layout.get(), static_cast<int>((width - x - margin) * PANGO_SCALE));
    pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
    pango_layout_set_height(layout.get(), -2);  // at most two lines of each
    pango_layout_set_ellipsize(layout.get(), PANGO_ELLIPSIZE_END);
    pango_layout_set_text(layout.get(), text.data(), static_cast<int>(text.size()));
    cairo_move_to(pen_, x, y_);
    pango_cairo_show_layout(pen_, layout.get());
    int lines_height = 0;
    pango_layout_get_size(layout.get(), nullptr, &lines_height);
    y_ += static_cast<double>(lines_height) / PANGO_SCALE;
  }

 private:
  static constexpr double x = margin + code_side + 4;
  cairo_t* pen_;
  double y_ = margin + 8;
};

// Four digits a group, four groups a line: how a person compares them.
std::string row_of(const std::string& root, std::size_t row) {
  std::string text;
  for (std::size_t group = 0; group < 4; ++group) {
    text += (group == 0 ? "" : " ") + root.substr(row * 16 + group * 4, 4);
  }
  return text;
}

void draw_card(cairo_t* pen, const CheckpointCard& card, const QrCode& code) {
  cairo_set_source_rgb(pen, 1, 1, 1);
  cairo_paint(pen);
  cairo_set_source_rgb(pen, 0, 0, 0);
  cairo_set_line_width(pen, 0.75);
  cairo_rectangle(pen, 1, 1, width - 2, height - 2);
  cairo_stroke(pen);
  draw_code(pen, code);
  Column column(pen);
  column.line(say("label.heading"), "sans 9", 0);
  column.line(card.title, "sans bold 12", 1);
  column.line(say("label.size", {{"size", card.size}}), "sans bold 12", 7);
  column.line(say("label.drawn", {{"when", card.drawn}}), "sans 8", 1);
  column.line(say("label.root"), "sans 8", 6);
  for (std::size_t row = 0; row < 4; ++row) column.line(row_of(card.root, row), "monospace 9", 0);
  column.line(say("label.ledger", {{"origin", card.origin}}), "sans 6", 5);
  column.line(say("label.use"), "sans 6", 5);
  column.line(say("label.use-check"), "sans 6", 1);
}

Error failed(cairo_status_t status) {
  return {ErrorCode::unavailable, say("label.not-drawn", {{"found", cairo_status_to_string(status)}})};
}

}  // namespace

Result<Bytes> draw(const CheckpointCard& card, Drawing drawing) {
  TRY_LET(const auto code, qr_of(card.note));
  Bytes bytes;
  const bool svg = drawing == Drawing::svg;
  const ink::Surface surface(svg ? cairo_svg_surface_create_for_stream(ink::append, &bytes, width, height)
                                 : cairo_image_surface_create(CAIRO_FORMAT_RGB24,
                                                              static_cast<int>(width * pixels_a_point),
                                                              static_cast<int>(height * pixels_a_point)));
  {
    const ink::Pen pen(cairo_create(surface.get()));
    if (!svg) cairo_scale(pen.get(), pixels_a_point, pixels_a_point);
    draw_card(pen.get(), card, code);
    if (const auto status = cairo_status(pen.get()); status != CAIRO_STATUS_SUCCESS) return failed(status);
  }
  const auto status =
      svg ? CAIRO_STATUS_SUCCESS : cairo_surface_write_to_png_stream(surface.get(), ink::append, &bytes);
  cairo_surface_finish(surface.get());
  if (status != CAIRO_STATUS_SUCCESS) return failed(status);
  if (const auto ended = cairo_surface_status(surface.get()); ended != CAIRO_STATUS_SUCCESS) return failed(ended);
  return bytes;
}

}  // namespace trayproof::label
