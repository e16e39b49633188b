#include "report/picture/svg_canvas.h"

#include "ledger/base/number.h"

namespace trayproof::picture {
namespace {

using markup::Element;

Element box_of(const Box& box) {
  Element element("rect");
  element.with("x", box.left).with("y", box.top).with("width", box.width).with("height", box.height);
  return element;
}

void add_dashes(Element& element, const Line& line) {
  if (!line.dashes.empty()) element.with("stroke-dasharray", line.dashes);
}

}  // namespace

void SvgCanvas::text(Place base, std::string_view plain, const Type& type) {
  Element element("text");
  element.with("x", base.x).with("y", base.y).with("font-size", type.size).text(plain);
  if (type.bold) element.with("font-weight", "bold");
  if (type.ends_here) element.with("text-anchor", "end");
  if (type.rim) {
    element.with("stroke", "#fff").with("stroke-width", 3).with("stroke-linejoin", "round");
    element.with("paint-order", "stroke");
  }
  group_.add(element.markup());
}

void SvgCanvas::rule(Place from, Place until, const Line& line) {
  Element element("path");
  element.with("d", path_of(Stroke{from, until})).with("stroke-width", line.width);
  add_dashes(element, line);
  group_.add(element.with("stroke", "#000").with("fill", "none").markup());
}

void SvgCanvas::lines(const std::vector<Stroke>& strokes, const Line& line) {
  Element element("path");
  element.with("d", path_of(strokes)).with("stroke-width", line.width).with("stroke-linejoin", "round");
  add_dashes(element, line);
  group_.add(element.with("stroke", "#000").with("fill", "none").markup());
}

void SvgCanvas::frame(const Box& box, double width) {
  group_.add(box_of(box).with("fill", "none").with("stroke", "#000").with("stroke-width", width).markup());
}

void SvgCanvas::shade(const Box& box, double darkness) {
  group_.add(box_of(box).with("fill", "#000").with("fill-opacity", rounded(darkness, 2)).markup());
}

void SvgCanvas::shade(const Stroke& outline, double darkness) {
  group_.add(Element("path")
                 .with("d", path_of(outline) + "Z")
                 .with("fill", "#000")
                 .with("fill-opacity", rounded(darkness, 2))
                 .markup());
}

}  // namespace trayproof::picture
