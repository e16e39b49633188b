#include "ledger/crypto/hash.h"

// The direct calls, which OpenSSL 3 calls deprecated in favour of EVP: they use the same processor instructions, and
// EVP's dispatch costs a fifth of what a tree's node does (docs/decisions/0011).
#define OPENSSL_SUPPRESS_DEPRECATED
#include <openssl/sha.h>
#include <sodium.h>

#include "ledger/base/check.h"

namespace trayproof::crypto {

Digest sha256(std::initializer_list<ByteView> parts) {
  SHA256_CTX context;
  CHECK(SHA256_Init(&context) == 1);
  for (const ByteView part : parts) CHECK(SHA256_Update(&context, part.data(), part.size()) == 1);
  Digest digest;
  CHECK(SHA256_Final(digest.data(), &context) == 1);
  return digest;
}

Digest sha256(ByteView bytes) { return sha256({bytes}); }

Sha256Stream::Sha256Stream() : context_(new SHA256_CTX) { CHECK(SHA256_Init(static_cast<SHA256_CTX*>(context_)) == 1); }
Sha256Stream::~Sha256Stream() { delete static_cast<SHA256_CTX*>(context_); }
void Sha256Stream::feed(ByteView bytes) {
  CHECK(SHA256_Update(static_cast<SHA256_CTX*>(context_), bytes.data(), bytes.size()) == 1);
}
Digest Sha256Stream::finish() {
  Digest digest;
  CHECK(SHA256_Final(digest.data(), static_cast<SHA256_CTX*>(context_)) == 1);
  return digest;
}

Token keyed_token(const Digest& key, ByteView bytes) {
  Token token;
  CHECK(crypto_generichash(token.data(), token.size(), bytes.data(), bytes.size(), key.data(), key.size()) == 0);
  return token;
}

Digest keyed_mark(const Digest& key, ByteView bytes) {
  Digest mark;
  CHECK(crypto_generichash(mark.data(), mark.size(), bytes.data(), bytes.size(), key.data(), key.size()) == 0);
  return mark;
}

}  // namespace trayproof::crypto
