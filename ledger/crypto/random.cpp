#include "ledger/crypto/random.h"

#include <sodium.h>

#include "ledger/base/check.h"

namespace trayproof::crypto {
namespace {

// Random bytes are asked of the system in blocks: a pseudonym and a salt for each event would otherwise cost more than
// the event's hash.
struct Pool {
  std::array<std::uint8_t, 4096> bytes;
  std::size_t used = sizeof bytes;
};

}  // namespace

void fill_random(std::span<std::uint8_t> out) {
  static const bool ready = sodium_init() >= 0;
  CHECK(ready);
  thread_local Pool pool;
  if (out.size() > 64) {
    randombytes_buf(out.data(), out.size());
    return;
  }
  if (pool.used + out.size() > pool.bytes.size()) {
    randombytes_buf(pool.bytes.data(), pool.bytes.size());
    pool.used = 0;
  }
  for (std::uint8_t& byte : out) {
    byte = pool.bytes[pool.used];
    pool.bytes[pool.used++] = 0;  // what was handed out does not stay behind
  }
}

}  // namespace trayproof::crypto
