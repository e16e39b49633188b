// How many lines a text takes in a cell. An estimate from the number of characters: the program that shows the book has
// the fonts, but not every one of them works out the height of a row when it opens a book.
#pragma once

#include <cstddef>
#include <string_view>

namespace trayproof::workbook {

// `width` as columns have it. Words are kept whole where they fit a line.
std::size_t lines_in(std::string_view text, double width);
// Of a text of which is known whether it holds line ends.
std::size_t lines_in(std::string_view text, double width, bool broken);

}  // namespace trayproof::workbook
