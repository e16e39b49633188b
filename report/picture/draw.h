// One drawing of a curve for page, print and evidence: temperature with the saturation line of the measured pressure
// and the band of the SOP, pressure, and gathered lethality, one above the other over one time axis.
//
// Readable in black and white: lines differ by their dashes and carry their names. 480 units wide, so that its type can
// be read on a telephone and on A4. The same curve gives the same bytes.
#pragma once

#include <string>
#include <vector>

#include "report/markup/markup.h"
#include "report/picture/canvas.h"
#include "report/picture/curve.h"
#include "report/picture/page.h"

namespace trayproof::picture {

// Draws from the top left corner of the canvas and answers how high the drawing is.
double draw_on(Canvas& canvas, const Curve& curve);
// For who cannot see the drawing: its title and what stands below it.
std::string in_words(const Curve& curve);

// An <svg> element for a page of HTML.
markup::Markup draw(const Curve& curve);
// A whole SVG file with the curves one below the other.
std::string svg_file(const std::vector<Curve>& curves);

}  // namespace trayproof::picture
