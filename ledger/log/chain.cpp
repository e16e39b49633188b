#include "ledger/log/chain.h"

#include "ledger/crypto/hash.h"

namespace trayproof::log {

Digest leaf_hash(std::string_view canonical_bytes) {
  static constexpr std::uint8_t leaf_prefix[] = {0x00};  // RFC 6962 section 2.1
  return crypto::sha256({ByteView(leaf_prefix), as_bytes(canonical_bytes)});
}

std::string_view named_prev(std::string_view bytes) {
  // In JSON a quote after a comma or a brace and before letters opens a member's name, for inside a text it would be
  // written with a backslash. `v` is the rarest of the letters, so the search stops at few places.
  constexpr std::string_view member = "\"prev\":\"";
  constexpr std::size_t v_at = 4;
  for (std::size_t at = bytes.find('v'); at != std::string_view::npos; at = bytes.find('v', at + 1)) {
    if (at <= v_at || bytes.substr(at - v_at, member.size()) != member) continue;
    const char before = bytes[at - v_at - 1];
    if (before != ',' && before != '{') continue;
    const std::size_t from = at - v_at + member.size();
    const std::size_t end = bytes.find('"', from);
    return end == std::string_view::npos ? std::string_view() : bytes.substr(from, end - from);
  }
  return {};
}

}  // namespace trayproof::log
