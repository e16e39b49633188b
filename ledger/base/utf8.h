// UTF-8 as Unicode defines it (no surrogates, no overlong forms, nothing past U+10FFFF).
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace trayproof {

// Byte offset of the first byte that is not part of valid UTF-8; nothing when all is valid.
std::optional<std::size_t> first_bad_utf8(std::string_view text);
bool is_ascii(std::string_view text);
// Number of code points of valid UTF-8.
std::size_t code_points(std::string_view text);
// Decodes the code point that begins at `at` of valid UTF-8 and moves `at` past it.
char32_t next_code_point(std::string_view text, std::size_t& at);
void append_utf8(std::string& text, char32_t code_point);
// The first `most` code points, with an ellipsis where something was cut.
std::string shortened(std::string_view text, std::size_t most);

}  // namespace trayproof
