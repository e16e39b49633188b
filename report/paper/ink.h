// Text and lines on paper: a thin layer over cairo and pango. Included by the room's .cpp files
// only; others see bytes.
//
// Units are points (1/72 inch), y grows downward. Type is that of the Noto fonts, which shape every script that the
// record may hold; text stays text in a PDF and can be searched and read aloud.
#pragma once

#include <string>
#include <string_view>

#include "report/ink/pen.h"
#include "report/picture/canvas.h"

namespace trayproof::paper {

using ink::Layout;
using ink::Pen;
using ink::Surface;

enum class Weight { normal, bold };

struct Setting {
  double size = 9;
  Weight weight = Weight::normal;
  bool fixed_width = false;
  double width = -1;  // wrapped there, at blanks where there are any; below 0: one line
};

// A text set, not yet drawn.
Layout set(cairo_t* pen, std::string_view text, const Setting& setting);
double height_of(PangoLayout* layout);
double width_of(PangoLayout* layout);
// With its top left corner there.
void show(cairo_t* pen, PangoLayout* layout, double x, double y);

// Draws curves at the pen's present place and scale.
class InkCanvas final : public picture::Canvas {
 public:
  explicit InkCanvas(cairo_t* pen) : pen_(pen) {}
  void text(picture::Place base, std::string_view plain, const picture::Type& type) override;
  void rule(picture::Place from, picture::Place until, const picture::Line& line) override;
  void lines(const std::vector<picture::Stroke>& strokes, const picture::Line& line) override;
  void frame(const picture::Box& box, double width) override;
  void shade(const picture::Box& box, double darkness) override;
  void shade(const picture::Stroke& outline, double darkness) override;

 private:
  void stroke(const picture::Line& line);
  cairo_t* pen_;
};

}  // namespace trayproof::paper
