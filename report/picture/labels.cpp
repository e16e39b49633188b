#include "report/picture/labels.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "ledger/base/utf8.h"

namespace trayproof::picture {
namespace {

constexpr double cell = 3;
constexpr double distance = 4;        // between a line and its name
constexpr std::size_t stations = 40;  // places along a line that are tried
constexpr double apart = 15;          // lines nearer than this cannot be told by a name beside them

// How much nearer than `apart` another line comes to the place.
double crowding(const Place& place, const std::vector<Stroke>& others) {
  double nearest = apart;
  for (const Stroke& stroke : others) {
    for (const Place& other : stroke) nearest = std::min(nearest, std::hypot(other.x - place.x, other.y - place.y));
  }
  return apart - nearest;
}

}  // namespace

double text_width(std::string_view text, double size) { return static_cast<double>(code_points(text)) * size * 0.56; }

Labels::Labels(Box area)
    : area_(area),
      columns_(static_cast<std::size_t>(std::ceil(area.width / cell)) + 1),
      rows_(static_cast<std::size_t>(std::ceil(area.height / cell)) + 1),
      taken_(columns_ * rows_, 0) {}

std::size_t Labels::column(double x) const {
  const double at = std::clamp((x - area_.left) / cell, 0.0, static_cast<double>(columns_ - 1));
  return static_cast<std::size_t>(at);
}

std::size_t Labels::row(double y) const {
  const double at = std::clamp((y - area_.top) / cell, 0.0, static_cast<double>(rows_ - 1));
  return static_cast<std::size_t>(at);
}

void Labels::mark(double x, double y) { taken_[row(y) * columns_ + column(x)] = 1; }

void Labels::keep_clear(const std::vector<Stroke>& strokes) {
  for (const Stroke& stroke : strokes) {
    for (std::size_t i = 1; i < stroke.size(); ++i) {
      const double across = stroke[i].x - stroke[i - 1].x;
      const double down = stroke[i].y - stroke[i - 1].y;
      const int steps = 1 + static_cast<int>(std::max(std::abs(across), std::abs(down)) / cell);
      for (int k = 0; k <= steps; ++k) {
        const double part = static_cast<double>(k) / steps;
        mark(stroke[i - 1].x + across * part, stroke[i - 1].y + down * part);
      }
    }
  }
}

void Labels::keep_clear(const Box& box) {
  for (double y = box.top; y <= box.top + box.height; y += cell) {
    for (double x = box.left; x <= box.left + box.width; x += cell) mark(x, y);
  }
}

int Labels::taken(const Box& box) const {
  int count = 0;
  for (std::size_t y = row(box.top); y <= row(box.top + box.height); ++y) {
    for (std::size_t x = column(box.left); x <= column(box.left + box.width); ++x) count += taken_[y * columns_ + x];
  }
  return count;
}

Box Labels::beside(const std::vector<Stroke>& strokes, const std::vector<Stroke>& others, double width, double height) {
  Box best{.left = area_.left + distance, .top = area_.top + distance, .width = width, .height = height};
  double least = std::numeric_limits<double>::infinity();
  const auto consider = [&](double left, double top, double crowded) {
    const bool inside = left >= area_.left && top >= area_.top && left + width <= area_.left + area_.width &&
                        top + height <= area_.top + area_.height;
    const Box box{.left = left, .top = top, .width = width, .height = height};
    if (!inside) return;
    const double found = 3 * taken(box) + crowded;
    if (found >= least) return;
    least = found;
    best = box;
  };
  for (const Stroke& stroke : strokes) {
    const std::size_t step = std::max<std::size_t>(1, stroke.size() / stations);
    for (std::size_t i = 0; i < stroke.size(); i += step) {
      const Place& place = stroke[i];
      const double crowded = crowding(place, others);
      consider(place.x + distance, place.y - height / 2, crowded);
      consider(place.x - width - distance, place.y - height / 2, crowded);
      for (const double left : {place.x - width / 2, place.x, place.x - width}) {
        consider(left, place.y - height - distance, crowded);
        consider(left, place.y + distance, crowded);
      }
    }
  }
  keep_clear(best);
  return best;
}

Box Labels::along(const Stroke& level, double width, double height, Side side) {
  const double y = level.front().y;
  const double rightmost = level.back().x - width - distance;
  const auto box_at = [&](double left, Side on) {
    return Box{.left = left,
               .top = on == Side::above ? y - height - distance : y + distance,
               .width = width,
               .height = height};
  };
  Box best = box_at(rightmost, side);
  int least = std::numeric_limits<int>::max();
  for (double left = rightmost; left >= level.front().x + distance; left -= cell * 2) {
    for (const Side on : {side, side == Side::above ? Side::below : Side::above}) {
      const Box box = box_at(left, on);
      if (box.top < area_.top || box.top + height > area_.top + area_.height) continue;
      const int found = taken(box);
      if (found >= least) continue;
      least = found;
      best = box;
    }
  }
  keep_clear(best);
  return best;
}

}  // namespace trayproof::picture
