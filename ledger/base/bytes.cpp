#include "ledger/base/bytes.h"

#include <algorithm>
#include <cstring>

namespace trayproof {
namespace {

constexpr char hex_digits[] = "0123456789abcdef";
// Both digits of every byte.
constexpr auto hex_pairs = [] {
  std::array<std::array<char, 2>, 256> pairs{};
  for (std::size_t i = 0; i < pairs.size(); ++i) pairs[i] = {hex_digits[i >> 4], hex_digits[i & 15]};
  return pairs;
}();
constexpr char base64_digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

int hex_value(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  return -1;
}

int base64_value(char c) {
  if (c >= 'A' && c <= 'Z') return c - 'A';
  if (c >= 'a' && c <= 'z') return c - 'a' + 26;
  if (c >= '0' && c <= '9') return c - '0' + 52;
  if (c == '+') return 62;
  if (c == '/') return 63;
  return -1;
}

}  // namespace

std::string hex(ByteView bytes) {
  std::string text(bytes.size() * 2, '0');
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    text[2 * i] = hex_digits[bytes[i] >> 4];
    text[2 * i + 1] = hex_digits[bytes[i] & 15];
  }
  return text;
}

std::array<char, 64> hex_of(const Digest& digest) {
  std::array<char, 64> text;
  for (std::size_t i = 0; i < digest.size(); ++i) std::memcpy(&text[2 * i], hex_pairs[digest[i]].data(), 2);
  return text;
}

bool from_hex(std::string_view text, std::span<std::uint8_t> out) {
  if (text.size() != out.size() * 2) return false;
  for (std::size_t i = 0; i < out.size(); ++i) {
    const int high = hex_value(text[2 * i]);
    const int low = hex_value(text[2 * i + 1]);
    if (high < 0 || low < 0) return false;
    out[i] = static_cast<std::uint8_t>(high * 16 + low);
  }
  return true;
}

std::optional<Bytes> from_hex(std::string_view text) {
  if (text.size() % 2 != 0) return std::nullopt;
  Bytes bytes(text.size() / 2);
  if (!from_hex(text, bytes)) return std::nullopt;
  return bytes;
}

bool is_hex(std::string_view text, std::size_t bytes) {
  return text.size() == bytes * 2 && std::all_of(text.begin(), text.end(), [](char c) { return hex_value(c) >= 0; });
}

std::string base64(ByteView bytes) {
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const std::size_t left = std::min<std::size_t>(3, bytes.size() - i);
    std::uint32_t group = static_cast<std::uint32_t>(bytes[i]) << 16;
    if (left > 1) group |= static_cast<std::uint32_t>(bytes[i + 1]) << 8;
    if (left > 2) group |= bytes[i + 2];
    text += base64_digits[group >> 18];
    text += base64_digits[(group >> 12) & 63];
    text += left > 1 ? base64_digits[(group >> 6) & 63] : '=';
    text += left > 2 ? base64_digits[group & 63] : '=';
  }
  return text;
}

std::optional<Bytes> from_base64(std::string_view text) {
  if (text.size() % 4 != 0) return std::nullopt;
  Bytes bytes;
  bytes.reserve(text.size() / 4 * 3);
  for (std::size_t i = 0; i < text.size(); i += 4) {
    const bool last = i + 4 == text.size();
    const std::size_t pads = last ? (text[i + 3] == '=' ? (text[i + 2] == '=' ? 2U : 1U) : 0U) : 0U;
    std::uint32_t group = 0;
    for (std::size_t k = 0; k < 4; ++k) {
      const int value = k + pads >= 4 ? 0 : base64_value(text[i + k]);
      if (value < 0) return std::nullopt;
      group = group << 6 | static_cast<std::uint32_t>(value);
    }
    if ((pads == 1 && (group & 0xff) != 0) || (pads == 2 && (group & 0xffff) != 0)) return std::nullopt;
    bytes.push_back(static_cast<std::uint8_t>(group >> 16));
    if (pads < 2) bytes.push_back(static_cast<std::uint8_t>(group >> 8 & 255));
    if (pads < 1) bytes.push_back(static_cast<std::uint8_t>(group & 255));
  }
  return bytes;
}

}  // namespace trayproof
