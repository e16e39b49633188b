// A canvas that gathers elements of SVG.
#pragma once

#include "report/markup/markup.h"
#include "report/picture/canvas.h"

namespace trayproof::picture {

class SvgCanvas final : public Canvas {
 public:
  void text(Place base, std::string_view plain, const Type& type) override;
  void rule(Place from, Place until, const Line& line) override;
  void lines(const std::vector<Stroke>& strokes, const Line& line) override;
  void frame(const Box& box, double width) override;
  void shade(const Box& box, double darkness) override;
  void shade(const Stroke& outline, double darkness) override;

  const markup::Markup& group() const { return group_; }

 private:
  markup::Markup group_;
};

}  // namespace trayproof::picture
