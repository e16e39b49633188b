// The only source of randomness.
#pragma once

#include <span>

#include "ledger/base/bytes.h"

namespace trayproof::crypto {

void fill_random(std::span<std::uint8_t> out);

template <std::size_t size>
std::array<std::uint8_t, size> random_bytes() {
  std::array<std::uint8_t, size> out;
  fill_random(out);
  return out;
}

}  // namespace trayproof::crypto
