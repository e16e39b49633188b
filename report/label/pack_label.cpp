#include "report/label/pack_label.h"

#include "ledger/words/words.h"
#include "report/label/lettering.h"
#include "report/label/sheet.h"

namespace trayproof::label {
namespace {

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
  Column beside(pen, {x, margin, cell_width - x - margin});
  beside.line(label.facility, "sans 6.5", 0, 1);
  beside.line(label.pack, "sans bold 14", 0, 1);
  beside.line(label.set, "sans bold 9", 0, 2);
  beside.line(label.made, "sans 7.5", 2, 2);
  beside.line(label.details, "sans 7.5", 0, 2);

  const double half = (cell_width - 2 * margin) / 2;
  const double load_y = margin + code_side + 15;
  fill_in(pen, {margin, load_y, 2 * half}, say("label.pack-load"), label.load);
  fill_in(pen, {margin, load_y + 13, half}, say("label.pack-use-by"), label.use_by);
  fill_in(pen, {margin + half, load_y + 13, half}, say("label.pack-opened"), std::nullopt);
  Column last(pen, {margin, load_y + 26, 2 * half});
  if (!label.keeps.empty()) last.line(label.keeps, "sans 6.5", 0, 1);
  last.line(say("caution.pack"), "sans 6", 0, 2);
}

}  // namespace

Result<Bytes> draw(std::span<const PackLabel> labels, Layout layout, Drawing drawing, Instant created) {
  std::vector<QrCode> codes;
  for (const PackLabel& label : labels) {
    TRY_LET(auto code, qr_of(label.pack));
    codes.push_back(std::move(code));
  }
  const Cells cells{.count = labels.size(),
                    .layout = layout,
                    .drawing = drawing,
                    .created = created,
                    .title = say("label.pack-title")};
  return draw_cells(cells, [&](cairo_t* pen, std::size_t cell) { draw_label(pen, labels[cell], codes[cell]); });
}

}  // namespace trayproof::label
