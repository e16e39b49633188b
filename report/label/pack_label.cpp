#include "report/label/pack_label.h"

#include "ledger/base/check.h"
#include "ledger/words/words.h"
#include "report/label/lettering.h"
#include "report/label/print.h"

namespace trayproof::label {
namespace {

constexpr double mm = 72 / 25.4;
constexpr double width = 95 * mm;
constexpr double height = 54 * mm;
constexpr double sheet_width = 210 * mm;
constexpr double sheet_height = 297 * mm;
constexpr std::size_t columns = 2;
constexpr double left = (sheet_width - columns * width) / 2;
constexpr double top = (sheet_height - labels_a_sheet / columns * height) / 2;
constexpr double margin = 3 * mm;
constexpr double code_side = 25 * mm;  // with its quiet zone: the modules of an id of 12 characters are 0.8 mm wide

void rule(cairo_t* pen, double x, double y, double until) {
  cairo_set_line_width(pen, 0.6);
  cairo_move_to(pen, x, y);
  cairo_line_to(pen, until, y);
  cairo_stroke(pen);
}

// A name, and what stands for it or a line to write on.
void fill_in(cairo_t* pen, const Column::Place& place, const std::string& name,
             const std::optional<std::string>& found) {
  Column column(pen, place);
  if (found) {
    column.line(name + " " + *found, "sans bold 8", 0, 1);
    return;
  }
  column.line(name, "sans 8", 0, 1);
  rule(pen, place.x + 42, column.y() - 1.5, place.x + place.width - 4);
}

void draw_label(cairo_t* pen, const PackLabel& label, const QrCode& code) {
  draw_code(pen, code, {margin - 2, margin - 2, code_side});
  Column under(pen, {margin + 4, margin + code_side - 3, code_side - 4});
  under.line(label.code, "monospace bold 12", 0, 1);

  const double x = margin + code_side + 4;
  Column beside(pen, {x, margin, width - x - margin});
  beside.line(label.facility, "sans 6.5", 0, 1);
  beside.line(label.pack, "sans bold 14", 0, 1);
  beside.line(label.set, "sans bold 9", 0, 2);
  beside.line(label.made, "sans 7.5", 2, 2);
  beside.line(label.details, "sans 7.5", 0, 2);

  const double half = (width - 2 * margin) / 2;
  const double load_y = margin + code_side + 15;
  fill_in(pen, {margin, load_y, 2 * half}, say("label.pack-load"), label.load);
  fill_in(pen, {margin, load_y + 13, half}, say("label.pack-use-by"), label.use_by);
  fill_in(pen, {margin + half, load_y + 13, half}, say("label.pack-opened"), std::nullopt);
  Column last(pen, {margin, load_y + 26, 2 * half});
  if (!label.keeps.empty()) last.line(label.keeps, "sans 6.5", 0, 1);
  last.line(say("caution.pack"), "sans 6", 0, 2);
}

void cut_lines(cairo_t* pen) {
  cairo_set_line_width(pen, 0.3);
  const double dashes[] = {3, 3};
  cairo_set_dash(pen, dashes, 2, 0);
  for (std::size_t column = 0; column <= columns; ++column) {
    const double x = left + static_cast<double>(column) * width;
    cairo_move_to(pen, x, top);
    cairo_line_to(pen, x, sheet_height - top);
  }
  for (std::size_t row = 0; row <= labels_a_sheet / columns; ++row) {
    const double y = top + static_cast<double>(row) * height;
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

Result<Bytes> draw(std::span<const PackLabel> labels, Layout layout, Drawing drawing, Instant created) {
  CHECK(!labels.empty());
  const std::size_t count = pages_of(labels.size(), layout);
  if (count > 1 && drawing != Drawing::pdf) {
    return Error(ErrorCode::invalid, say("label.one-page", {{"found", std::to_string(labels.size())},
                                                            {"most", std::to_string(labels_a_sheet)}}));
  }
  std::vector<QrCode> codes;
  for (const PackLabel& label : labels) {
    TRY_LET(auto code, qr_of(label.pack));
    codes.push_back(std::move(code));
  }
  const bool single = layout == Layout::single;
  const Pages pages{.width = single ? width : sheet_width,
                    .height = single ? height : sheet_height,
                    .count = count,
                    .created = created,
                    .title = say("label.pack-title")};
  return print(drawing, pages, [&](cairo_t* pen, std::size_t page) {
    if (single) {
      draw_label(pen, labels[page], codes[page]);
      return;
    }
    cut_lines(pen);
    const std::size_t first = page * labels_a_sheet;
    for (std::size_t i = first; i < std::min(labels.size(), first + labels_a_sheet); ++i) {
      const std::size_t place = i - first;
      cairo_save(pen);
      cairo_translate(pen, left + static_cast<double>(place % columns) * width,
                      top + static_cast<double>(place / columns) * height);
      draw_label(pen, labels[i], codes[i]);
      cairo_restore(pen);
    }
  });
}

}  // namespace trayproof::label
