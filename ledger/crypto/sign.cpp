#include "ledger/crypto/sign.h"

#include <sodium.h>

#include "ledger/base/check.h"

namespace trayproof::crypto {

SigningKey SigningKey::from_seed(const Digest& seed) {
  SigningKey key;
  key.seed_ = seed;
  CHECK(crypto_sign_seed_keypair(key.public_.data(), key.secret_.data(), seed.data()) == 0);
  return key;
}

SigningKey::~SigningKey() {
  sodium_memzero(seed_.data(), seed_.size());
  sodium_memzero(secret_.data(), secret_.size());
}

Signature SigningKey::sign(ByteView message) const {
  Signature signature;
  CHECK(crypto_sign_detached(signature.data(), nullptr, message.data(), message.size(), secret_.data()) == 0);
  return signature;
}

bool check_signature(const PublicKey& key, ByteView message, ByteView signature) {
  return signature.size() == 64 &&
         crypto_sign_verify_detached(signature.data(), message.data(), message.size(), key.data()) == 0;
}

}  // namespace trayproof::crypto
