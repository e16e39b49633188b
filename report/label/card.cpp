#include "report/label/card.h"

#include "ledger/words/words.h"
#include "report/label/lettering.h"
#include "report/label/print.h"

namespace trayproof::label {
namespace {

// In points (1/72 inch). A card of 148 by 84 mm fits twice on a page of a register.
constexpr double width = 420;
constexpr double height = 238;
constexpr double margin = 12;
constexpr double code_side = 214;  // with its quiet zone

// Four digits a group, four groups a line: how a person compares them.
std::string row_of(const std::string& root, std::size_t row) {
  std::string text;
  for (std::size_t group = 0; group < 4; ++group) {
    text += (group == 0 ? "" : " ") + root.substr(row * 16 + group * 4, 4);
  }
  return text;
}

void draw_card(cairo_t* pen, const CheckpointCard& card, const QrCode& code) {
  cairo_set_line_width(pen, 0.75);
  cairo_rectangle(pen, 1, 1, width - 2, height - 2);
  cairo_stroke(pen);
  draw_code(pen, code, {margin, margin, code_side});
  constexpr double x = margin + code_side + 4;
  Column column(pen, {x, margin + 8, width - x - margin});
  column.line(say("label.heading"), {"sans", 9}, 0);
  column.line(card.title, {"sans bold", 12}, 1);
  column.line(say("label.size", {{"size", card.size}}), {"sans bold", 12}, 7);
  column.whole(say("label.drawn", {{"when", card.drawn}}), {"sans", 8}, 1, 1);
  column.line(say("label.root"), {"sans", 8}, 6);
  for (std::size_t row = 0; row < 4; ++row) column.line(row_of(card.root, row), {"monospace", 9}, 0);
  column.line(say("label.ledger", {{"origin", card.origin}}), {"sans", 6}, 5);
  column.whole(say("label.use"), {"sans", 6}, 5, 2);
  column.whole(say("label.use-check"), {"sans", 6}, 1, 4);  // ends in a command that somebody copies
}

}  // namespace

Result<Bytes> draw(const CheckpointCard& card, Drawing drawing) {
  TRY_LET(const auto code, qr_of(card.note));
  return print(drawing, {.width = width, .height = height},
               [&](cairo_t* pen, std::size_t) { draw_card(pen, card, code); });
}

}  // namespace trayproof::label
