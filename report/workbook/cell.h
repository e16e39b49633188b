// What one cell of the workbook holds. Ids, seqs and hashes are texts, whatever they look like: a spreadsheet rounds a
// number past its fifteenth digit and takes a leading zero away.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "ledger/base/time.h"

namespace trayproof::workbook {

// How a text cell looks. No look says anything that its words do not say as well.
enum class Look {
  plain,
  fixed_width,  // hashes, checkpoint text
  heading,      // of a block within a sheet
  strong,       // what asks for attention; bold, with its words
};

struct Text {
  std::string text;
  Look look = Look::plain;
};

struct Number {
  double value = 0;
  int decimals = 0;  // 0 to 6
};

// Rows of a sheet below its header, from 0.
struct Rows {
  std::size_t first = 0;
  std::size_t count = 1;
};

// To rows of another sheet of the same book; without them to its first cell.
struct Link {
  std::string sheet;
  std::string text;
  std::optional<Rows> rows = {};
};

// A time stands as a spreadsheet date in the facility's zone.
using Cell = std::variant<std::monostate, Text, Number, Instant, Link>;
using Row = std::vector<Cell>;

// Of these cells, none of them copied, as a list in braces would.
template <typename... Cells>
Row row_of(Cells&&... cells) {
  Row row;
  row.reserve(sizeof...(cells));
  (row.emplace_back(std::forward<Cells>(cells)), ...);
  return row;
}

inline Cell text(std::string value) { return Text{std::move(value), Look::plain}; }
inline Cell whole(std::int64_t value) { return Number{static_cast<double>(value), 0}; }
inline Cell number(std::optional<double> value, int decimals) {
  return value ? Cell(Number{*value, decimals}) : Cell();
}
inline Cell time(std::optional<Instant> value) { return value ? Cell(*value) : Cell(); }

}  // namespace trayproof::workbook
