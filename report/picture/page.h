// What every drawing shares: its measures, lines of text cut to its width, and the SVG around it.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "report/markup/markup.h"

namespace trayproof::picture {

inline constexpr double page_width = 480;
inline constexpr double left_edge = 40;  // of panels; figures stand left of it
inline constexpr double right_edge = 468;
inline constexpr double type_size = 12;
inline constexpr double small_type = 11;
inline constexpr double line_height = 16;

// Cut at blanks so that no line is wider than the page.
std::vector<std::string> wrapped(std::string_view text, double size);

// An <svg> element of that height, with nothing in it.
markup::Element svg_of(double height);
// White, under everything.
markup::Markup white_paper(double height);
// A whole file: `drawing` on white paper, and its words for who cannot see it.
std::string svg_page(double height, const std::string& words, const markup::Markup& drawing);

}  // namespace trayproof::picture
