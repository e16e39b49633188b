// What stands in a cell where a text was given.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace trayproof::workbook {

struct CellChars {
  const std::string* text = nullptr;         // the given one, or `made`; absent where the given one is no UTF-8
  std::optional<std::size_t> bad_byte = {};  // then its place
  bool broken = false;                       // whether the given one holds line ends
};

// Control characters are shown as their pictures and what XML cannot hold as the replacement character: a report says
// what stands in the record, and does not fail over it. A text that looks like the format's own escape of a character
// ("_x0041_") stays that text. Most texts are looked through once and stand as they are.
CellChars cell_chars(const std::string& text, std::string& made);

}  // namespace trayproof::workbook
