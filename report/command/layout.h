// Text laid out for a terminal, or for the paper that it is printed on: eighty columns where nothing else is known.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "report/command/context.h"

namespace trayproof::command {

// How wide a text is written: the terminal's width within reason, eighty where there is none.
std::size_t text_columns(const Context& context);
// Broken between words so that no line is longer, where words allow it; lines after the first are indented.
std::string folded(std::string_view text, std::size_t columns, std::size_t indent = 0);
// Columns that one after another take on a terminal; marks that join the letter before take none.
std::size_t display_width(std::string_view text);

}  // namespace trayproof::command
