// What a drawing is put on: SVG for pages and files, or the paper of report/paper. A drawing knows the few marks below
// and nothing of where they go, so that page, print and workbook show the same picture.
//
// Units are those of the drawing, 480 of them across; y grows downward. All is black on white.
#pragma once

#include <string_view>
#include <vector>

#include "report/picture/labels.h"
#include "report/picture/stroke.h"

namespace trayproof::picture {

struct Type {
  double size = 0;
  bool bold = false;
  bool ends_here = false;  // the text ends at its place instead of beginning there
  bool rim = false;        // a white rim, for names that stand among lines
};

struct Line {
  double width = 1;
  std::string_view dashes;  // lengths of dash and blank, parted by blanks; empty: unbroken
};

class Canvas {
 public:
  virtual ~Canvas() = default;
  virtual void text(Place base, std::string_view plain, const Type& type) = 0;
  virtual void rule(Place from, Place until, const Line& line) = 0;
  virtual void lines(const std::vector<Stroke>& strokes, const Line& line) = 0;
  virtual void frame(const Box& box, double width) = 0;
  // Black of that opacity, 0 to 1.
  virtual void shade(const Box& box, double darkness) = 0;
  virtual void shade(const Stroke& outline, double darkness) = 0;
};

}  // namespace trayproof::picture
