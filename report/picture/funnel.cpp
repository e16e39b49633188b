#include "report/picture/funnel.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/picture/labels.h"
#include "report/picture/page.h"
#include "report/picture/scale.h"
#include "report/picture/svg_canvas.h"

namespace trayproof::picture {
namespace {

constexpr double panel_height = 260;
constexpr double dot = 2;   // its radius
constexpr double ring = 5;  // around a place outside the wide limits
constexpr std::size_t names_most = 12;

Stroke circle(const Place& middle, double radius) {
  constexpr int corners = 16;
  Stroke out;
  for (int i = 0; i <= corners; ++i) {
    const double turn = 2 * std::numbers::pi * i / corners;
    out.push_back({middle.x + radius * std::cos(turn), middle.y + radius * std::sin(turn)});
  }
  return out;
}

class Drawing {
 public:
  Drawing(const Funnel& funnel, Canvas& canvas) : funnel_(funnel), canvas_(canvas) {}

  void run() {
    for (const std::string& part : wrapped(funnel_.title, type_size * 1.1)) {
      y_ += line_height;
      canvas_.text({8, y_}, part, {.size = type_size, .bold = true});
    }
    if (!funnel_.overall || funnel_.places.empty()) {
      line(say("picture.funnel-nothing"));
    } else {
      panel();
      limits();
      places();
      axis();
    }
    for (const std::string& one : funnel_.lines) line(one);
  }
  double height() const { return y_ + 6; }

 private:
  void line(std::string_view plain) {
    for (const std::string& part : wrapped(plain, small_type)) {
      y_ += line_height;
      canvas_.text({8, y_}, part, {.size = small_type});
    }
  }
  void name_at(const Box& box, std::string_view plain) {
    canvas_.text({box.left, box.top + small_type}, plain, {.size = small_type, .rim = true});
  }

  // As much of the shares as the places and their limits take.
  void panel() {
    double low = *funnel_.overall;
    double high = low;
    double most = 1;
    for (const FunnelPlace& place : funnel_.places) {
      low = std::min(low, place.share), high = std::max(high, place.share);
      most = std::max(most, place.volume);
    }
    for (const FunnelLimits& one : funnel_.wide) low = std::min(low, one.low), high = std::max(high, one.high);
    y_ += line_height + 4;
    canvas_.text({8, y_}, say("picture.funnel-share"), {.size = small_type});
    y_ += 6;
    area_ = {.left = left_edge, .top = y_, .width = right_edge - left_edge, .height = panel_height};
    const double margin = std::max((high - low) * 0.05, 0.01);
    up_ = {.low = std::max(0.0, low - margin),
           .high = std::min(1.0, high + margin),
           .from = area_.top + panel_height - 8,
           .until = area_.top + 8};
    across_ = {.low = 0, .high = most * 1.04, .from = left_edge, .until = right_edge};
    for (const double value : round_marks(up_.low * 100, up_.high * 100, 7)) {
      const double y = up_(value / 100);
      canvas_.rule({left_edge - 4, y}, {left_edge, y}, {.width = 0.8, .dashes = {}});
      canvas_.text({left_edge - 6, y + 4}, number_here(value, 1), {.size = small_type, .ends_here = true});
    }
    canvas_.frame(area_, 0.8);
    y_ += panel_height;
  }

  Stroke stroke_of(const std::vector<FunnelLimits>& limits, double FunnelLimits::*side) const {
    Stroke out;
    for (const FunnelLimits& one : limits) out.push_back({across_(one.volume), up_(one.*side)});
    return out;
  }

  void limits() {
    const Stroke level = {{area_.left, up_(*funnel_.overall)}, {right_edge, up_(*funnel_.overall)}};
    canvas_.rule(level.front(), level.back(), {.width = 0.9, .dashes = {}});
    labels_.emplace(area_);
    labels_->keep_clear({level});
    std::vector<Stroke> drawn;
    const auto put = [&](const std::vector<FunnelLimits>& limits, std::string_view dashes) {
      for (const auto side : {&FunnelLimits::low, &FunnelLimits::high}) {
        const Stroke stroke = stroke_of(limits, side);
        if (stroke.size() < 2) continue;
        canvas_.lines({stroke}, {.width = 0.9, .dashes = dashes});
        labels_->keep_clear({stroke});
        drawn.push_back(stroke);
      }
    };
    put(funnel_.narrow, "6 3");
    put(funnel_.wide, "1.5 2.5");
    for (const FunnelPlace& place : funnel_.places) labels_->keep_clear({circle(at(place), dot)});
    const auto name = [&](const std::vector<FunnelLimits>& limits, std::string_view plain) {
      const Stroke stroke = stroke_of(limits, &FunnelLimits::low);
      if (stroke.size() < 2) return;
      std::vector<Stroke> others;
      for (const Stroke& one : drawn) {
        if (one.back().y != stroke.back().y) others.push_back(one);
      }
      name_at(labels_->beside({stroke}, others, text_width(plain, small_type), small_type + 3), plain);
    };
    name(funnel_.narrow, say("picture.funnel-95"));
    name(funnel_.wide, say("picture.funnel-998"));
    const std::string all = say("picture.funnel-all", {{"share", number_here(*funnel_.overall * 100, 1)}});
    name_at(labels_->along(level, text_width(all, small_type), small_type + 3, Labels::Side::above), all);
  }

  Place at(const FunnelPlace& place) const { return {across_(place.volume), up_(place.share)}; }

  void places() {
    std::size_t named = 0;
    for (const FunnelPlace& place : funnel_.places) canvas_.shade(circle(at(place), dot), 1);
    for (const FunnelPlace& place : funnel_.places) {
      if (!place.outside) continue;
      const Stroke around = circle(at(place), ring);
      canvas_.lines({around}, {.width = 0.9, .dashes = {}});
      if (++named > names_most) continue;
      name_at(labels_->beside({around}, {}, text_width(place.name, small_type), small_type + 3), place.name);
    }
  }

  void axis() {
    for (const double value : round_marks(across_.low, across_.high, 7)) {
      const double x = across_(value);
      canvas_.rule({x, y_}, {x, y_ + 4}, {.width = 0.8, .dashes = {}});
      const std::string plain = number_here(value, 0);
      const double width = text_width(plain, small_type);
      canvas_.text({std::min(x - width / 2, right_edge - width + 8), y_ + 15}, plain, {.size = small_type});
    }
    y_ += 16;
    line(say("picture.funnel-volume"));
  }

  const Funnel& funnel_;
  Canvas& canvas_;
  double y_ = 0;
  Box area_;
  Scale across_, up_;
  std::optional<Labels> labels_;
};

}  // namespace

std::string in_words(const Funnel& funnel) {
  std::string out = funnel.title;
  for (const std::string& one : funnel.lines) out += ". " + one;
  return out;
}

double draw_on(Canvas& canvas, const Funnel& funnel) {
  Drawing drawing(funnel, canvas);
  drawing.run();
  return drawing.height();
}

std::string svg_file(const Funnel& funnel) {
  SvgCanvas canvas;
  const double height = draw_on(canvas, funnel);
  return svg_page(height, in_words(funnel), canvas.group());
}

}  // namespace trayproof::picture
