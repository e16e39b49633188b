#include "tests/fuzz/mutator.h"

#include <algorithm>
#include <array>
#include <string_view>

namespace trayproof::fuzz {
namespace {

// What readers trip over: ends of ranges, marks of many formats, bytes that are no text.
constexpr std::array<std::string_view, 40> nasty = {"0",
                                                    "-0",
                                                    "-1",
                                                    "1e308",
                                                    "1e-308",
                                                    "999999999999999",
                                                    "1000000000000000",
                                                    "0.1",
                                                    "null",
                                                    "true",
                                                    "{}",
                                                    "[]",
                                                    "\"\"",
                                                    "\"",
                                                    "\\",
                                                    "\\u0000",
                                                    "\\ud800",
                                                    "\xff",
                                                    "\xc3",
                                                    "\xed\xa0\x80",
                                                    "\xef\xbb\xbf",
                                                    "\xe2\x80\xae",
                                                    "\r\n",
                                                    "\n\n",
                                                    "\t",
                                                    "\x1d",
                                                    ",",
                                                    ";",
                                                    ":",
                                                    "—",
                                                    "é",
                                                    "e\xcc\x81",
                                                    "\xf0\x9f\x98\x82",
                                                    "+14:00",
                                                    "2199-12-31",
                                                    "24:00",
                                                    "23:59:59.9999",
                                                    "  ",
                                                    "=",
                                                    "\x7f"};

bool is_word(char c) {
  return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '-' || c == '_' || c == '.';
}

}  // namespace

Mutator::Mutator(std::uint64_t seed, std::vector<std::string> corpus, std::size_t bytes_most)
    : state_(seed), corpus_(std::move(corpus)), bytes_most_(bytes_most) {
  if (corpus_.empty()) corpus_.emplace_back();
}

// splitmix64 (Steele, Lea and Flood 2014; constants from memory).
std::uint64_t Mutator::number() {
  std::uint64_t z = (state_ += 0x9E3779B97F4A7C15U);
  z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9U;
  z = (z ^ (z >> 27)) * 0x94D049BB133111EBU;
  return z ^ (z >> 31);
}

std::string Mutator::token() {
  const std::string& text = any();
  if (text.empty()) return "";
  std::size_t from = below(text.size());
  while (from > 0 && is_word(text[from]) && is_word(text[from - 1])) --from;
  std::size_t until = from + 1;
  while (until < text.size() && is_word(text[from]) && is_word(text[until])) ++until;
  return text.substr(from, until - from);
}

void Mutator::change(std::string& text) {
  const std::size_t at = below(text.size() + 1);
  const std::size_t length = std::min(text.size() - at, 1 + below(number() % 4 == 0 ? 64 : 6));
  switch (number() % 10) {
    case 0:
      if (at < text.size()) text[at] = static_cast<char>(text[at] ^ (1 << below(8)));
      break;
    case 1:
      if (at < text.size()) text[at] = static_cast<char>(number());
      break;
    case 2:
      text.erase(at, length);
      break;
    case 3:
      text.insert(at, text.substr(at, length));
      break;
    case 4:
      text.insert(at, nasty[below(nasty.size())]);
      break;
    case 5:
      text.replace(at, length, nasty[below(nasty.size())]);
      break;
    case 6:
      text.insert(at, token());
      break;
    case 7:
      text.replace(at, length, token());
      break;
    case 8: {  // the end of another file
      const std::string& other = any();
      text = text.substr(0, at) + other.substr(below(other.size() + 1));
      break;
    }
    default:
      text.resize(at);
      break;
  }
}

std::string Mutator::next() {
  std::string text = any();
  for (std::size_t left = 1 + below(8); left > 0; --left) change(text);
  if (text.size() > bytes_most_) text.resize(bytes_most_);
  return text;
}

}  // namespace trayproof::fuzz
