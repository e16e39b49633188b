#include "ledger/base/number.h"

#include <charconv>
#include <cmath>

#include "ledger/base/check.h"

namespace trayproof {

std::string shortest(double value) {
  CHECK(std::isfinite(value));
  if (value == 0) return "0";  // also for minus zero
  char buffer[40];
  const auto scientific = std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::scientific);
  std::string_view text(buffer, static_cast<std::size_t>(scientific.ptr - buffer));
  std::string out;
  if (text.front() == '-') {
    out += '-';
    text.remove_prefix(1);
  }
  const std::size_t e = text.find('e');
  std::string digits(1, text[0]);
  if (e > 2) digits.append(text.substr(2, e - 2));
  int exponent = 0;
  std::string_view power = text.substr(e + 1);
  if (power.front() == '+') power.remove_prefix(1);
  std::from_chars(power.data(), power.data() + power.size(), exponent);
  const int count = static_cast<int>(digits.size());
  const int point = exponent + 1;  // the decimal point stands after this many digits (ECMA-262, Number::toString)
  if (count <= point && point <= 21) return out + digits + std::string(static_cast<std::size_t>(point - count), '0');
  if (0 < point && point <= 21) {
    const auto whole = static_cast<std::size_t>(point);
    return out + digits.substr(0, whole) + "." + digits.substr(whole);
  }
  if (-6 < point && point <= 0) return out + "0." + std::string(static_cast<std::size_t>(-point), '0') + digits;
  out += digits[0];
  if (count > 1) out += "." + digits.substr(1);
  out += point - 1 < 0 ? "e-" : "e+";
  return out + std::to_string(std::abs(point - 1));
}

int significant_digits(std::string_view text) {
  int count = 0;
  int zeros = 0;
  for (const char c : text) {
    if (c == 'e' || c == 'E') break;
    if (c < '0' || c > '9') continue;
    if (c == '0') {
      if (count > 0) ++zeros;
      continue;
    }
    count += zeros + 1;
    zeros = 0;
  }
  return count;
}

std::optional<double> parse_number(std::string_view text) {
  if (text.starts_with('+') && !text.starts_with("+-")) text.remove_prefix(1);
  double value = 0;
  const auto end = text.data() + text.size();
  const auto read = std::from_chars(text.data(), end, value);
  if (read.ec != std::errc() || read.ptr != end || !std::isfinite(value)) return std::nullopt;
  return value;
}

std::string rounded(double value, int decimals) {
  const double scale = std::pow(10.0, decimals);
  double nearest = std::round(value * scale) / scale;
  if (nearest == 0) nearest = 0;
  char buffer[400];
  const auto end = std::to_chars(buffer, buffer + sizeof buffer, nearest, std::chars_format::fixed, decimals);
  std::string text(buffer, end.ptr);
  if (text.find('.') != std::string::npos) {
    while (text.back() == '0') text.pop_back();
    if (text.back() == '.') text.pop_back();
  }
  return text == "-0" ? "0" : text;
}

}  // namespace trayproof
