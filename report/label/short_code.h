// A number that a hand can write beside the QR code: the seq of the entry that packed, a dash, and a check digit by
// ISO/IEC 7064, MOD 11,10, which finds every single wrong digit and nearly every exchange of two neighbours.
// Digits only: they are read and written in every ward, and 0 and O cannot be taken for each other.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace trayproof::label {

// Of one digit or more.
char check_digit(std::string_view digits);

// "1234-0".
std::string short_code(std::int64_t seq);
// Nothing when it is no such code, or when its check digit does not fit. A blank may stand for the dash.
std::optional<std::int64_t> seq_of_code(std::string_view code);

}  // namespace trayproof::label
