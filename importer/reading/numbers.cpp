#include "importer/reading/numbers.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include "importer/reading/records.h"
#include "ledger/base/number.h"

namespace trayproof::reading {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

// Length of a separator that may stand between groups of three digits, 0 when none begins at `at`.
std::size_t group_mark(std::string_view text, std::size_t at) {
  const std::string_view rest = text.substr(at);
  if (rest.starts_with(' ') || rest.starts_with('\'')) return 1;
  if (rest.starts_with("\xC2\xA0")) return 2;                                          // no-break space
  if (rest.starts_with("\xE2\x80\xAF") || rest.starts_with("\xE2\x80\x99")) return 3;  // narrow one, raised comma
  return 0;
}

bool three_digits(std::string_view text, std::size_t at) {
  return at + 3 <= text.size() && is_digit(text[at]) && is_digit(text[at + 1]) && is_digit(text[at + 2]) &&
         (at + 3 == text.size() || !is_digit(text[at + 3]));
}

constexpr std::array<double, 19> tens = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8, 1e9,
                                         1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18};

// The sign at the front, also as U+2212; moves past it.
bool negative_sign(std::string_view text, std::size_t& at) {
  if (text.substr(at).starts_with("\xE2\x88\x92")) {
    at += 3;
    return true;
  }
  const bool negative = at < text.size() && text[at] == '-';
  if (at < text.size() && (text[at] == '-' || text[at] == '+')) ++at;
  return negative;
}

std::string folded(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == ' ' || c == '_') continue;
    out += c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c;
  }
  return out;
}

}  // namespace

std::string_view name_of(Decimal decimal) { return decimal == Decimal::point ? "point" : "comma"; }

std::optional<Decimal> decimal_named(std::string_view name) {
  if (name == "point") return Decimal::point;
  if (name == "comma") return Decimal::comma;
  return std::nullopt;
}

DecimalHint decimal_hint(std::string_view cell) {
  std::size_t at = 0;
  negative_sign(cell, at);
  const std::string_view body = cell.substr(at, cell.find_first_not_of("0123456789.,'", at) - at);
  if (body.empty() || !(is_digit(body.front()) || body.front() == '.' || body.front() == ',')) return DecimalHint::none;
  const auto points = std::count(body.begin(), body.end(), '.');
  const auto commas = std::count(body.begin(), body.end(), ',');
  if (points == 0 && commas == 0) return DecimalHint::none;
  if (points > 0 && commas > 0) return body.rfind('.') > body.rfind(',') ? DecimalHint::point : DecimalHint::comma;
  if (points > 1) return DecimalHint::comma;  // points can only group thousands
  if (commas > 1) return DecimalHint::point;
  const bool is_point = points == 1;
  const std::size_t mark = body.find(is_point ? '.' : ',');
  const bool grouped = three_digits(body, mark + 1) && mark >= 1 && mark <= 3 && body.front() != '0';
  if (grouped) return is_point ? DecimalHint::point_or_thousands : DecimalHint::comma_or_thousands;
  return is_point ? DecimalHint::point : DecimalHint::comma;
}

std::optional<Number> parse_quantity(std::string_view cell, Decimal decimal) {
  const char mark = decimal == Decimal::point ? '.' : ',';
  const char other = decimal == Decimal::point ? ',' : '.';
  std::size_t at = 0;
  const bool negative = negative_sign(cell, at);
  while (at < cell.size() && cell[at] == ' ') ++at;
  std::uint64_t digits = 0;
  int count = 0;
  int after_mark = 0;
  bool marked = false;
  bool grouped = false;
  const std::size_t first = at;
  for (; at < cell.size(); ++at) {
    const char c = cell[at];
    if (is_digit(c)) {
      if (count == 0 && c == '0' && !marked) continue;  // leading zeros
      if (++count > 17) return std::nullopt;
      digits = digits * 10 + static_cast<unsigned>(c - '0');
      if (marked) ++after_mark;
    } else if (c == mark && !marked) {
      marked = true;
    } else if (!marked && at > first && is_digit(cell[at - 1])) {
      const std::size_t skip = c == other ? 1 : group_mark(cell, at);
      if (skip == 0 || !three_digits(cell, at + skip) || (!grouped && at - first > 3)) break;
      grouped = true;
      at += skip - 1;
    } else {
      break;
    }
  }
  if (at == first || (marked && at == first + 1)) return std::nullopt;
  double value = after_mark <= 18 ? static_cast<double>(digits) / tens[static_cast<std::size_t>(after_mark)] : 0;
  if (at < cell.size() && (cell[at] == 'e' || cell[at] == 'E')) {
    std::size_t end = at + 1;
    const bool minus = negative_sign(cell, end);
    int exponent = 0;
    const std::size_t begun = end;
    while (end < cell.size() && is_digit(cell[end]) && end - begun < 3) exponent = exponent * 10 + (cell[end++] - '0');
    if (end > begun) {
      at = end;
      value *= std::pow(10, minus ? -exponent : exponent);
    }
  }
  const std::string_view unit = trimmed(cell.substr(at));
  if (!unit.empty() && (is_digit(unit.front()) || unit.front() == mark || unit.front() == other || unit.size() > 12)) {
    return std::nullopt;
  }
  // "12:30" and "2024-05-01" are no numbers with a unit behind them.
  if (!unit.empty() && (unit.front() == ':' || unit.front() == '-' || unit.front() == '/')) return std::nullopt;
  const auto foreign = [](char c) {
    return (is_digit(c) && c != '2') || c == ';' || c == '|' || c == ',' || c == '"' || c == '=';
  };
  if (std::any_of(unit.begin(), unit.end(), foreign)) return std::nullopt;
  if (!std::isfinite(value)) return std::nullopt;
  return Number{.value = negative ? -value : value, .unit = unit};
}

bool looks_numeric(std::string_view cell) {
  return parse_quantity(cell, Decimal::point).has_value() || parse_quantity(cell, Decimal::comma).has_value();
}

bool is_mark(std::string_view cell) {
  if (cell.empty()) return false;
  // Spreadsheet errors; rows of dashes, stars, question marks; over and under range.
  if (cell.front() == '#' && cell.size() <= 12) return true;
  if ((cell.front() == '>' || cell.front() == '<') && cell.size() <= 12) return true;
  if (cell.size() <= 16 && cell.find_first_not_of("-*?._/=~ ") == std::string_view::npos) return true;
  if (cell.substr(0, 3) == "\xE2\x80\x94" || cell.substr(0, 3) == "\xE2\x80\x93") return cell.size() <= 12;  // dashes
  if (cell.size() > 20) return false;
  std::string text = folded(cell);
  if (!text.empty() && (text.front() == '-' || text.front() == '+')) text.erase(0, 1);
  static constexpr std::array<std::string_view, 46> marks = {
      "ol",        "o.l",  "o.l.",    "o/l",         "ovl",          "ovld",    "ovfl",         "overload",
      "overrange", "over", "under",   "underrange",  "err",          "error",   "err.",         "nan",
      "n/a",       "na",   "n.a.",    "null",        "nil",          "none",    "inf",          "infinity",
      "#",         "open", "opentc",  "opencircuit", "open-circuit", "short",   "shortcircuit", "fault",
      "fail",      "bad",  "invalid", "missing",     "disconnected", "noprobe", "nosensor",     "nodata",
      "burnout",   "lo",   "hi",      "lll",         "hhh",          "x"};
  return std::find(marks.begin(), marks.end(), text) != marks.end();
}

}  // namespace trayproof::reading
