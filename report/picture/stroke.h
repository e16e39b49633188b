// Lines of many readings as strokes of the pen: broken at holes, thinned to what the paper can show. Thinning keeps the
// first, the lowest, the highest and the last reading of every half unit of width, so that no peak or dip is lost.
#pragma once

#include <string>
#include <vector>

#include "report/picture/curve.h"
#include "report/picture/scale.h"

namespace trayproof::picture {

struct Place {
  double x = 0;
  double y = 0;
};
using Stroke = std::vector<Place>;

std::vector<Stroke> strokes_of(const Curve& curve, double Moment::*value, const Scale& across, const Scale& up);
// As the attribute `d` of a path.
std::string path_of(const std::vector<Stroke>& strokes);
std::string path_of(const Stroke& stroke);

}  // namespace trayproof::picture
