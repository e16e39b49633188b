#include "ledger/log/chain.h"

#include "ledger/crypto/hash.h"

namespace trayproof::log {

Digest leaf_hash(std::string_view canonical_bytes) {
  static constexpr std::uint8_t leaf_prefix[] = {0x00};  // RFC 6962 section 2.1
  return crypto::sha256({ByteView(leaf_prefix), as_bytes(canonical_bytes)});
}

}  // namespace trayproof::log
