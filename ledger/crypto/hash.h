// SHA-256 through OpenSSL (which uses the processor's instructions) and keyed BLAKE2b through libsodium.
#pragma once

#include <cstring>
#include <initializer_list>

#include "ledger/base/bytes.h"

namespace trayproof::crypto {

Digest sha256(ByteView bytes);
// Of the parts one after the other.
Digest sha256(std::initializer_list<ByteView> parts);

// A hash that is fed bit by bit; for files.
class Sha256Stream {
 public:
  Sha256Stream();
  ~Sha256Stream();
  Sha256Stream(const Sha256Stream&) = delete;
  Sha256Stream& operator=(const Sha256Stream&) = delete;
  void feed(ByteView bytes);
  Digest finish();

 private:
  void* context_;
};

using Token = std::array<std::uint8_t, 16>;
// For hash maps: tokens are random already.
struct TokenHash {
  std::size_t operator()(const Token& token) const {
    std::size_t head = 0;
    std::memcpy(&head, token.data(), sizeof head);
    return head;
  }
};
// The first 16 bytes of BLAKE2b under a 32-byte key: finds a patient's number without showing it.
Token keyed_token(const Digest& key, ByteView bytes);
// 32 bytes of keyed BLAKE2b: tells whether this station wrote `bytes`.
Digest keyed_mark(const Digest& key, ByteView bytes);

}  // namespace trayproof::crypto
