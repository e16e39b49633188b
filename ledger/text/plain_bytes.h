// Bytes of a JSON text that need no backslash: all but control characters, the quote and the backslash. Looked at eight
// in a word.
#pragma once

#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>

namespace trayproof::json {

// Nothing when all eight stand for themselves. Else the lowest bit that is set is of the lowest byte that does not;
// bits above it say nothing.
inline std::uint64_t need_backslash(std::uint64_t eight) {
  constexpr std::uint64_t each = 0x0101010101010101ULL;
  constexpr std::uint64_t high = 0x8080808080808080ULL;
  const auto below = [](std::uint64_t word, std::uint64_t limit) { return (word - each * limit) & ~word & high; };
  return below(eight, 0x20) | below(eight ^ each * '"', 1) | below(eight ^ each * '\\', 1);
}

inline bool needs_backslash(char c) { return static_cast<unsigned char>(c) < 0x20 || c == '"' || c == '\\'; }

// How many of eight bytes in memory stand for themselves before the first that does not.
inline std::size_t plain_of(std::uint64_t marks) {
  const int bits = std::endian::native == std::endian::little ? std::countr_zero(marks) : 0;
  return static_cast<std::size_t>(bits) / 8;
}

// The first byte from `at` on that does not stand for itself, or `end`. Of all bytes that were looked at, `seen` gets
// every bit: its highest of each byte is clear when all were ASCII.
inline const char* past_plain(const char* at, const char* end, std::uint64_t& seen) {
  for (; end - at >= 8; at += 8) {
    std::uint64_t eight = 0;
    std::memcpy(&eight, at, sizeof eight);
    seen |= eight;
    const std::uint64_t marks = need_backslash(eight);
    if (marks == 0) continue;
    at += plain_of(marks);
    break;
  }
  for (; at != end && !needs_backslash(*at); ++at) seen |= static_cast<unsigned char>(*at);
  return at;
}

inline bool all_ascii(std::uint64_t seen) { return (seen & 0x8080808080808080ULL) == 0; }

}  // namespace trayproof::json
