// Bytes, fixed-size digests, and their two spellings: lower-case hex and standard base64 (RFC 4648 section 4).
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace trayproof {

using Bytes = std::vector<std::uint8_t>;
using ByteView = std::span<const std::uint8_t>;
using Digest = std::array<std::uint8_t, 32>;  // a SHA-256

inline ByteView as_bytes(std::string_view text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}
inline std::string_view as_text(ByteView bytes) { return {reinterpret_cast<const char*>(bytes.data()), bytes.size()}; }

std::string hex(ByteView bytes);
// The same without a string, for a digest.
std::array<char, 64> hex_of(const Digest& digest);
// Nothing when the text is not lower-case hex of an even length. One spelling is legal, so that equal bytes have equal
// text.
std::optional<Bytes> from_hex(std::string_view text);
// Fills `out` when the text is exactly its size in lower-case hex.
bool from_hex(std::string_view text, std::span<std::uint8_t> out);
bool is_hex(std::string_view text, std::size_t bytes);

std::string base64(ByteView bytes);
// Strict: padding required, no white space, unused bits zero.
std::optional<Bytes> from_base64(std::string_view text);

}  // namespace trayproof
