#include "ledger/base/utf8.h"

#include <algorithm>
#include <cstring>

namespace trayproof {
namespace {

// Length of the valid sequence at `at`, 0 when there is none. The ranges are Unicode's table 3-7.
std::size_t sequence_length(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) { return i < text.size() ? static_cast<unsigned char>(text[i]) : 0U; };
  const auto tail = [&](std::size_t i) { return (byte(i) & 0xC0U) == 0x80U; };
  const unsigned first = byte(at);
  if (first < 0x80) return 1;
  if (first >= 0xC2 && first <= 0xDF) return tail(at + 1) ? 2 : 0;
  const unsigned second = byte(at + 1);
  if (first >= 0xE0 && first <= 0xEF) {
    const unsigned low = first == 0xE0 ? 0xA0 : 0x80;
    const unsigned high = first == 0xED ? 0x9F : 0xBF;
    return second >= low && second <= high && tail(at + 2) ? 3 : 0;
  }
  if (first >= 0xF0 && first <= 0xF4) {
    const unsigned low = first == 0xF0 ? 0x90 : 0x80;
    const unsigned high = first == 0xF4 ? 0x8F : 0xBF;
    return second >= low && second <= high && tail(at + 2) && tail(at + 3) ? 4 : 0;
  }
  return 0;
}

}  // namespace

namespace {

// How many bytes from `at` on are ASCII, looked at sixty-four, then eight at a time.
std::size_t ascii_run(std::string_view text, std::size_t at) {
  const std::size_t from = at;
  for (; at + 64 <= text.size(); at += 64) {
    std::uint64_t many[8];
    std::memcpy(many, text.data() + at, sizeof many);
    std::uint64_t any = 0;
    for (const std::uint64_t one : many) any |= one;
    if ((any & 0x8080808080808080ULL) != 0) break;
  }
  for (; at + 8 <= text.size(); at += 8) {
    std::uint64_t eight = 0;
    std::memcpy(&eight, text.data() + at, 8);
    if ((eight & 0x8080808080808080ULL) != 0) break;
  }
  while (at < text.size() && static_cast<unsigned char>(text[at]) < 0x80) ++at;
  return at - from;
}

}  // namespace

bool is_ascii(std::string_view text) { return ascii_run(text, 0) == text.size(); }

std::optional<std::size_t> first_bad_utf8(std::string_view text) {
  std::size_t at = 0;
  while ((at += ascii_run(text, at)) < text.size()) {
    const std::size_t length = sequence_length(text, at);
    if (length == 0) return at;
    at += length;
  }
  return std::nullopt;
}

std::size_t code_points(std::string_view text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

char32_t next_code_point(std::string_view text, std::size_t& at) {
  // Behind the end stands nothing: what is cut off there is some character, and the last.
  const auto byte = [&](std::size_t i) {
    return i < text.size() ? static_cast<char32_t>(static_cast<unsigned char>(text[i])) : char32_t{0};
  };
  const char32_t first = byte(at);
  const auto past = [&](std::size_t length) { at = std::min(at + length, text.size()); };
  if (first < 0x80) return past(1), first;
  if (first < 0xE0) {
    const char32_t c = (first & 0x1F) << 6 | (byte(at + 1) & 0x3F);
    return past(2), c;
  }
  if (first < 0xF0) {
    const char32_t c = (first & 0x0F) << 12 | (byte(at + 1) & 0x3F) << 6 | (byte(at + 2) & 0x3F);
    return past(3), c;
  }
  const char32_t c =
      (first & 0x07) << 18 | (byte(at + 1) & 0x3F) << 12 | (byte(at + 2) & 0x3F) << 6 | (byte(at + 3) & 0x3F);
  return past(4), c;
}

void append_utf8(std::string& text, char32_t c) {
  const auto put = [&](char32_t byte) { text += static_cast<char>(static_cast<unsigned char>(byte)); };
  if (c < 0x80) {
    put(c);
  } else if (c < 0x800) {
    put(0xC0 | c >> 6), put(0x80 | (c & 0x3F));
  } else if (c < 0x10000) {
    put(0xE0 | c >> 12), put(0x80 | (c >> 6 & 0x3F)), put(0x80 | (c & 0x3F));
  } else {
    put(0xF0 | c >> 18), put(0x80 | (c >> 12 & 0x3F)), put(0x80 | (c >> 6 & 0x3F)), put(0x80 | (c & 0x3F));
  }
}

std::string shortened(std::string_view text, std::size_t most) {
  if (code_points(text) <= most) return std::string(text);
  std::size_t at = 0;
  for (std::size_t i = 0; i < most && at < text.size(); ++i) next_code_point(text, at);
  return std::string(text.substr(0, at)) + "…";
}

}  // namespace trayproof
