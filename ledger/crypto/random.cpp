#include "ledger/crypto/random.h"

#include <pthread.h>
#include <sodium.h>

#include <atomic>

#include "ledger/base/check.h"

namespace trayproof::crypto {
namespace {

// Random bytes are asked of the system in blocks: a pseudonym and a salt for each event would otherwise cost more than
// the event's hash.
struct Pool {
  std::array<std::uint8_t, 4096> bytes;
  std::size_t used = sizeof bytes;
  unsigned forks = 0;  // when it was filled
};

// A child process inherits the pool of its parent: both would hand out the same bytes.
std::atomic<unsigned> forks_so_far{0};

bool prepare() { return sodium_init() >= 0 && pthread_atfork(nullptr, nullptr, [] { ++forks_so_far; }) == 0; }

}  // namespace

void fill_random(std::span<std::uint8_t> out) {
  static const bool ready = prepare();
  CHECK(ready);
  thread_local Pool pool;
  if (out.size() > 64) {
    randombytes_buf(out.data(), out.size());
    return;
  }
  if (pool.used + out.size() > pool.bytes.size() || pool.forks != forks_so_far) {
    randombytes_buf(pool.bytes.data(), pool.bytes.size());
    pool.used = 0;
    pool.forks = forks_so_far;
  }
  for (std::uint8_t& byte : out) {
    byte = pool.bytes[pool.used];
    pool.bytes[pool.used++] = 0;  // what was handed out does not stay behind
  }
}

}  // namespace trayproof::crypto
