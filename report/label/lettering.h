// What cards and labels are made of: a QR code as a square, and lines of text one under the other. Included by this
// room's .cpp files only.
#pragma once

#include <string>
#include <vector>

#include "report/ink/pen.h"
#include "report/label/qr.h"

namespace trayproof::label {

// `side` with the quiet zone.
struct Square {
  double x, y, side;
};
void draw_code(cairo_t* pen, const QrCode& code, const Square& where);

// `font` as Pango describes it ("sans bold"), its size in points of the drawing.
struct Type {
  const char* font;
  double size;
};
// On one line.
double width_of(cairo_t* pen, const std::string& text, const Type& type);

// What has to stand there whole is set smaller where it would not fit, and never smaller than this.
inline constexpr double least_size = 5;
inline constexpr double size_step = 0.25;

// Text is wrapped where the column ends.
class Column {
 public:
  struct Place {
    double x, y, width;
  };
  Column(cairo_t* pen, const Place& place) : pen_(pen), place_(place) {}
  // Cut off with an ellipsis after so many lines.
  void line(const std::string& text, const Type& type, double before, int lines_max = 2);
  // Never cut off: set smaller until it stands in that many lines, and in more where it does not at the least size.
  void whole(const std::string& text, const Type& type, double before, int lines);
  struct Piece {
    std::string text;
    Type type;
  };
  // One below the other, none cut off: all set smaller until they end above `bottom`.
  void all_above(double bottom, std::vector<Piece> pieces);
  double y() const { return place_.y; }

 private:
  void show(PangoLayout* layout);

  cairo_t* pen_;
  Place place_;
};

}  // namespace trayproof::label
