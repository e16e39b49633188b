// Numbers as text, independent of locale.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace trayproof {

// The shortest text that reads back as the same double, as ECMAScript writes it (RFC 8785 section 3.2.2.3).
// The value must be finite.
std::string shortest(double value);
// Significant decimal digits of a number written in JSON's syntax.
int significant_digits(std::string_view text);
// A whole text that is one decimal number with a point ("-12.5", "1e3"); nothing else.
std::optional<double> parse_number(std::string_view text);
// Rounded half away from zero to that many decimals, without trailing zeros; for people.
std::string rounded(double value, int decimals);

}  // namespace trayproof
