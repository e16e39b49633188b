#include "ledger/crypto/hash.h"

#include <openssl/evp.h>
#include <sodium.h>

#include "ledger/base/check.h"

namespace trayproof::crypto {
namespace {

const EVP_MD* sha256_method() {
  static EVP_MD* const method =
      EVP_MD_fetch(nullptr, "SHA256", nullptr);  // fetched once: a fetch costs more than a hash
  CHECK(method != nullptr);
  return method;
}

EVP_MD_CTX* thread_context() {
  struct Owner {
    EVP_MD_CTX* context = EVP_MD_CTX_new();
    ~Owner() { EVP_MD_CTX_free(context); }
  };
  thread_local Owner owner;
  CHECK(owner.context != nullptr);
  return owner.context;
}

}  // namespace

Digest sha256(std::initializer_list<ByteView> parts) {
  EVP_MD_CTX* context = thread_context();
  CHECK(EVP_DigestInit_ex2(context, sha256_method(), nullptr) == 1);
  for (const ByteView part : parts) CHECK(EVP_DigestUpdate(context, part.data(), part.size()) == 1);
  Digest digest;
  CHECK(EVP_DigestFinal_ex(context, digest.data(), nullptr) == 1);
  return digest;
}

Digest sha256(ByteView bytes) { return sha256({bytes}); }

Sha256Stream::Sha256Stream() : context_(EVP_MD_CTX_new()) {
  CHECK(context_ != nullptr && EVP_DigestInit_ex2(static_cast<EVP_MD_CTX*>(context_), sha256_method(), nullptr) == 1);
}
Sha256Stream::~Sha256Stream() { EVP_MD_CTX_free(static_cast<EVP_MD_CTX*>(context_)); }
void Sha256Stream::feed(ByteView bytes) {
  CHECK(EVP_DigestUpdate(static_cast<EVP_MD_CTX*>(context_), bytes.data(), bytes.size()) == 1);
}
Digest Sha256Stream::finish() {
  Digest digest;
  CHECK(EVP_DigestFinal_ex(static_cast<EVP_MD_CTX*>(context_), digest.data(), nullptr) == 1);
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
