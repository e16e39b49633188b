#include "report/label/pack_label.h"

#include <algorithm>

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

constexpr Type written{"sans bold", 8};
constexpr Type to_fill{"sans", 8};
constexpr double inner = cell_width - 2 * margin;
constexpr double between = 8;  // two fields of one row
constexpr double row = 13;
constexpr double rule_from = 42;   // of a short name, so that lines stand below each other
constexpr double least_rule = 50;  // what a hand needs for a day
constexpr double foot_margin = 6;

// A name, and what stands for it or a line to write on.
struct Field {
  std::string name;
  std::optional<std::string> found = {};

  std::string text() const { return found ? name + " " + *found : name; }
  double rule_at(cairo_t* pen) const { return std::max(rule_from, width_of(pen, name, to_fill) + 4); }
  double width(cairo_t* pen) const { return found ? width_of(pen, text(), written) : rule_at(pen) + least_rule; }
};

// Answers where the next row may begin.
double fill_in(cairo_t* pen, const Column::Place& place, const Field& field) {
  Column column(pen, place);
  if (field.found) {
    column.whole(field.text(), written, 0, 1);
  } else {
    column.line(field.name, to_fill, 0, 1);
    rule(pen, place.x + field.rule_at(pen), column.y() - 1.5, place.x + place.width - 4);
  }
  return std::max(place.y + row, column.y() + 1);
}

// Beside each other where both have room, else below each other.
double fill_in(cairo_t* pen, double y, const Field& left, const Field& right) {
  const double first = std::max(inner / 2, left.width(pen) + between);
  if (first + right.width(pen) + 4 > inner) {
    const double next = fill_in(pen, {margin, y, inner}, left);
    return fill_in(pen, {margin, next, inner}, right);
  }
  const double below = fill_in(pen, {margin, y, first}, left);
  return std::max(below, fill_in(pen, {margin + first, y, inner - first}, right));
}

void draw_label(cairo_t* pen, const PackLabel& label, const QrCode& code) {
  draw_code(pen, code, {margin - 2, margin - 2, code_side});
  Column under(pen, {margin + 4, margin + code_side - 3, code_side - 4});
  under.line(label.code, {"monospace bold", 12}, 0, 1);

  const double x = margin + code_side + 4;
  const double load_y = margin + code_side + 15;
  Column beside(pen, {x, margin, cell_width - x - margin});
  beside.line(label.facility, {"sans", 6.5}, 0, 1);
  beside.line(label.pack, {"sans bold", 14}, 0, 1);
  beside.line(label.set, {"sans bold", 9}, 0, 2);
  beside.whole(label.made, {"sans", 7.5}, 2, 2);  // holds a day
  beside.line(label.details, {"sans", 7.5}, 0, 2);

  double y = fill_in(pen, {margin, std::max(load_y, beside.y() + 1), inner}, {say("label.pack-load"), label.load});
  y = fill_in(pen, y, {say("label.pack-use-by"), label.use_by}, {say("label.pack-opened")});
  std::vector<Column::Piece> foot;
  if (!label.keeps.empty()) foot.push_back({label.keeps, {"sans", 6.5}});
  foot.push_back({say("caution.pack"), {"sans", 6}});
  Column(pen, {margin, y, inner}).all_above(cell_height - foot_margin, std::move(foot));
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
