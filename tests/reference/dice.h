// A small seeded generator of chance, the same on every machine and in every library: xorshift64* (Vigna, "An
// experimental exploration of Marsaglia's xorshift generators, scrambled", 2016), started through one step of
// splitmix64.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "ledger/base/check.h"

namespace trayproof::reference {

class Dice {
 public:
  explicit Dice(std::uint64_t seed) : state_(seed + 0x9E3779B97F4A7C15U) {
    state_ = (state_ ^ (state_ >> 30)) * 0xBF58476D1CE4E5B9U;
    state_ = (state_ ^ (state_ >> 27)) * 0x94D049BB133111EBU;
    state_ ^= state_ >> 31;
    if (state_ == 0) state_ = 1;
  }

  std::uint64_t roll() {
    state_ ^= state_ >> 12;
    state_ ^= state_ << 25;
    state_ ^= state_ >> 27;
    return state_ * 0x2545F4914F6CDD1DU;
  }
  // From `low` to `high`, both included.
  std::int64_t between(std::int64_t low, std::int64_t high) {
    const auto width = static_cast<std::uint64_t>(high - low) + 1;
    return low + static_cast<std::int64_t>((roll() >> 11) % width);
  }
  bool chance(int percent) { return between(1, 100) <= percent; }
  template <typename Thing>
  const Thing& pick(const std::vector<Thing>& things) {
    CHECK(!things.empty());
    return things[static_cast<std::size_t>(between(0, static_cast<std::int64_t>(things.size()) - 1))];
  }

 private:
  std::uint64_t state_;
};

}  // namespace trayproof::reference
