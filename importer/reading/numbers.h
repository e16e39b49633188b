// Stage 6a: numbers as loggers write them, and the marks they write where there is none. docs/import-reading.md is the
// authority.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace trayproof::reading {

enum class Decimal { point, comma };

std::string_view name_of(Decimal decimal);
std::optional<Decimal> decimal_named(std::string_view name);

// What one cell says about the decimal mark.
enum class DecimalHint {
  none,                // no mark, or no number
  point,               // can only be a decimal point, or commas can only be thousands
  comma,               // the reverse
  point_or_thousands,  // "1.013": one mark with three digits after it
  comma_or_thousands,  // "1,013"
};
DecimalHint decimal_hint(std::string_view cell);

struct Number {
  double value = 0;
  std::string_view unit;  // what stands after it in the same cell, trimmed; mostly empty
};

// Signs, exponents, thousands separators (the other mark, blank, apostrophe) and a unit behind are allowed.
std::optional<Number> parse_quantity(std::string_view cell, Decimal decimal);
// A cell of which either mark is read as decimal; for telling kinds of cells apart before the mark is known.
bool looks_numeric(std::string_view cell);

// "OL", "---", "ERR", "NaN", "#NAME?", "open" …: the sensor's or a spreadsheet's way to say that there is no value.
bool is_mark(std::string_view cell);

}  // namespace trayproof::reading
