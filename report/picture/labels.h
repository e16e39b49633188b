// Puts names beside lines so that neither names nor lines lie on each other, as far as there is room.
#pragma once

#include <string_view>
#include <vector>

#include "report/picture/stroke.h"

namespace trayproof::picture {

struct Box {
  double left = 0;
  double top = 0;
  double width = 0;
  double height = 0;
};

// How wide a text stands in the drawing's type, a little too wide rather than too narrow.
double text_width(std::string_view text, double size);

class Labels {
 public:
  // Names stand inside `area`.
  explicit Labels(Box area);
  void keep_clear(const std::vector<Stroke>& strokes);
  void keep_clear(const Box& box);
  // The place for a text of that size near one of the strokes, where those can be told from the others; it is then
  // kept clear.
  Box beside(const std::vector<Stroke>& strokes, const std::vector<Stroke>& others, double width, double height);
  // The same for a level line that runs from left to right: as far right as there is room, on that side rather than on
  // the other.
  enum class Side { above, below };
  Box along(const Stroke& level, double width, double height, Side side);

 private:
  std::size_t column(double x) const;
  std::size_t row(double y) const;
  void mark(double x, double y);
  int taken(const Box& box) const;

  Box area_;
  std::size_t columns_;
  std::size_t rows_;
  std::vector<unsigned char> taken_;
};

}  // namespace trayproof::picture
