// What cards and labels are made of: a QR code as a square, and lines of text one under the other. Included by this
// room's .cpp files only.
#pragma once

#include <string>

#include "report/ink/pen.h"
#include "report/label/qr.h"

namespace trayproof::label {

// `side` with the quiet zone.
struct Square {
  double x, y, side;
};
void draw_code(cairo_t* pen, const QrCode& code, const Square& where);

// Text is wrapped where the column ends, and cut off with an ellipsis after so many lines.
class Column {
 public:
  struct Place {
    double x, y, width;
  };
  Column(cairo_t* pen, const Place& place) : pen_(pen), place_(place) {}
  // `font` as Pango describes it ("sans bold 12"), its size in points of the drawing.
  void line(const std::string& text, const char* font, double before, int lines_max = 2);
  double y() const { return place_.y; }

 private:
  cairo_t* pen_;
  Place place_;
};

}  // namespace trayproof::label
