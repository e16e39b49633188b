// A curve in a terminal, in braille dots: enough to see at once whether the right file was taken and whether it held.
#pragma once

#include <string>
#include <vector>

#include "report/picture/curve.h"

namespace trayproof::picture {

// Lines of at most `columns` characters: the coldest channel, the set temperature as a dotted line, the hold marked
// below. Nothing where there is too little to draw or too little room.
std::vector<std::string> sketch(const Curve& curve, int columns);

}  // namespace trayproof::picture
