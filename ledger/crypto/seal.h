// XChaCha20-Poly1305: what is sealed is the nonce, then the ciphertext with its tag.
#pragma once

#include <optional>

#include "ledger/base/bytes.h"

namespace trayproof::crypto {

Bytes seal(const Digest& key, ByteView plain);
// Nothing when the key does not fit or a byte was changed.
std::optional<Bytes> unseal(const Digest& key, ByteView sealed);

}  // namespace trayproof::crypto
