#include "ledger/crypto/seal.h"

#include <sodium.h>

#include "ledger/base/check.h"
#include "ledger/crypto/random.h"

namespace trayproof::crypto {
namespace {
constexpr std::size_t nonce_bytes = crypto_aead_xchacha20poly1305_ietf_NPUBBYTES;
constexpr std::size_t tag_bytes = crypto_aead_xchacha20poly1305_ietf_ABYTES;
}  // namespace

Bytes seal(const Digest& key, ByteView plain) {
  Bytes sealed(nonce_bytes + plain.size() + tag_bytes);
  fill_random({sealed.data(), nonce_bytes});
  CHECK(crypto_aead_xchacha20poly1305_ietf_encrypt(sealed.data() + nonce_bytes, nullptr, plain.data(), plain.size(),
                                                   nullptr, 0, nullptr, sealed.data(), key.data()) == 0);
  return sealed;
}

std::optional<Bytes> unseal(const Digest& key, ByteView sealed) {
  if (sealed.size() < nonce_bytes + tag_bytes) return std::nullopt;
  Bytes plain(sealed.size() - nonce_bytes - tag_bytes);
  const int opened =
      crypto_aead_xchacha20poly1305_ietf_decrypt(plain.data(), nullptr, nullptr, sealed.data() + nonce_bytes,
                                                 sealed.size() - nonce_bytes, nullptr, 0, sealed.data(), key.data());
  if (opened != 0) return std::nullopt;
  return plain;
}

}  // namespace trayproof::crypto
