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

// A text of its own, or one that stands elsewhere for as long as the cell does: most texts of a large book stand in
// its facts already.
class CellText {
 public:
  CellText(std::string own) : own_(std::move(own)) {}
  CellText(const char* own) : own_(own) {}
  static CellText borrowed(const std::string& text) { return CellText(&text); }
  static CellText borrowed(std::string&& text) = delete;

  const std::string& str() const { return elsewhere_ == nullptr ? own_ : *elsewhere_; }

 private:
  explicit CellText(const std::string* elsewhere) : elsewhere_(elsewhere) {}
  std::string own_;
  const std::string* elsewhere_ = nullptr;
};

struct Text {
  CellText text;
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
  CellText sheet;
  CellText text;
  std::optional<Rows> rows = {};
};

// A time stands as a spreadsheet date in the facility's zone.
using Cell = std::variant<std::monostate, Text, Number, Instant, Link>;
using Row = std::vector<Cell>;

// Appends these cells, none of them copied, as a list in braces would.
template <typename... Cells>
void put(Row& row, Cells&&... cells) {
  (row.emplace_back(std::forward<Cells>(cells)), ...);
}

inline Cell text(std::string value) { return Text{std::move(value), Look::plain}; }
// Of a text that outlives the cell.
inline Cell borrowed(const std::string& value, Look look = Look::plain) {
  return Text{CellText::borrowed(value), look};
}
Cell borrowed(std::string&& value, Look look = Look::plain) = delete;
inline Cell whole(std::int64_t value) { return Number{static_cast<double>(value), 0}; }
inline Cell number(std::optional<double> value, int decimals) {
  return value ? Cell(Number{*value, decimals}) : Cell();
}
inline Cell time(std::optional<Instant> value) { return value ? Cell(*value) : Cell(); }

}  // namespace trayproof::workbook
