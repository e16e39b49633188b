// The deterministic sequence of doubles of cyberphone/json-canonicalization, testdata/README.md ("ES6 Numbers"): 172
// edge cases, 2,000 in a row from the smallest normal number, then the doubles inside SHA-256 of the block before.
#pragma once

#include <bit>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <vector>

#include "ledger/crypto/hash.h"

namespace trayproof::tests {

class Es6Numbers {
 public:
  Es6Numbers();
  double next();

 private:
  std::vector<std::uint64_t> fixed_;
  std::size_t used_ = 0;
  Digest block_{};
  std::size_t in_block_ = 4;
};

}  // namespace trayproof::tests
