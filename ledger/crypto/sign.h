// Ed25519 (RFC 8032) through libsodium.
#pragma once

#include "ledger/base/bytes.h"

namespace trayproof::crypto {

using PublicKey = std::array<std::uint8_t, 32>;
using Signature = std::array<std::uint8_t, 64>;

class SigningKey {
 public:
  static SigningKey from_seed(const Digest& seed);
  const PublicKey& public_key() const { return public_; }
  const Digest& seed() const { return seed_; }
  Signature sign(ByteView message) const;
  ~SigningKey();

 private:
  SigningKey() = default;
  Digest seed_{};
  PublicKey public_{};
  std::array<std::uint8_t, 64> secret_{};
};

bool check_signature(const PublicKey& key, ByteView message, ByteView signature);

}  // namespace trayproof::crypto
