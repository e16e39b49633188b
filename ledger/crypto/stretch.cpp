#include "ledger/crypto/stretch.h"

#include <sodium.h>

#include "ledger/base/check.h"
#include "ledger/words/words.h"

namespace trayproof::crypto {

bool is_sane(const StretchCost& cost) {
  constexpr std::uint32_t passes_max = 20;
  constexpr std::uint32_t memory_kib_max = 1024 * 1024;
  return cost.passes >= crypto_pwhash_argon2id_OPSLIMIT_MIN && cost.passes <= passes_max &&
         cost.memory_kib >= crypto_pwhash_argon2id_MEMLIMIT_MIN / 1024 && cost.memory_kib <= memory_kib_max;
}

Result<Digest> stretch(std::string_view secret, const StretchSalt& salt, const StretchCost& cost) {
  static_assert(crypto_pwhash_argon2id_SALTBYTES == std::tuple_size_v<StretchSalt>);
  CHECK(is_sane(cost));
  Digest out{};
  if (crypto_pwhash(out.data(), out.size(), secret.data(), secret.size(), salt.data(), cost.passes,
                    std::size_t{cost.memory_kib} * 1024, crypto_pwhash_ALG_ARGON2ID13) != 0) {
    return Error(ErrorCode::unavailable, say("people.no-memory", {{"kib", std::to_string(cost.memory_kib)}}));
  }
  return out;
}

void forget(void* bytes, std::size_t size) { sodium_memzero(bytes, size); }

}  // namespace trayproof::crypto
