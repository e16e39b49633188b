// A funnel plot: the share of each place over its volume, with the limits within which places that differ by chance
// alone lie (Spiegelhalter, Statistics in Medicine 24 (2005) 1185). Places stand by volume and never by rank; only
// those outside the wide limits carry their names, since the others are not to be compared.
//
// Black on white and as wide as the drawing of a curve, with which it shares its canvas. The same plot gives the same
// bytes.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "report/picture/canvas.h"

namespace trayproof::picture {

struct FunnelPlace {
  double volume = 0;
  double share = 0;  // 0 to 1
  std::string name;
  bool outside = false;  // the wide limits
};

struct FunnelLimits {
  double volume = 0;
  double low = 0;
  double high = 1;
};

struct Funnel {
  std::string title;
  std::vector<std::string> lines;  // below it
  std::optional<double> overall;   // the share of all; without it nothing is drawn
  std::vector<FunnelPlace> places;
  std::vector<FunnelLimits> narrow, wide;  // by volume: 95 % and 99.8 %
};

// Draws from the top left corner of the canvas and answers how high the drawing is.
double draw_on(Canvas& canvas, const Funnel& funnel);
// For who cannot see the drawing: its title and what stands below it.
std::string in_words(const Funnel& funnel);
std::string svg_file(const Funnel& funnel);

}  // namespace trayproof::picture
