// How labels and badges lie on paper: A4 with ten of 95 by 54 mm and lines to cut along, or a page for each of just that
// size.
#pragma once

#include <cstddef>

namespace trayproof::label {

enum class Layout { sheet, single };
inline constexpr std::size_t labels_a_sheet = 10;
std::size_t pages_of(std::size_t labels, Layout layout);

}  // namespace trayproof::label
