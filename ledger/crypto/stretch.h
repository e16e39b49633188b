// Argon2id (RFC 9106) through libsodium, one lane: makes each guess at a PIN cost time and memory.
// docs/decisions/0015 tells why the usual cost is what it is.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"

namespace trayproof::crypto {

struct StretchCost {
  std::uint32_t passes = 3;
  std::uint32_t memory_kib = 64 * 1024;
  bool operator==(const StretchCost&) const = default;
};

using StretchSalt = std::array<std::uint8_t, 16>;

// Whether this program would ever write such a cost: a damaged file must not ask for all memory or a day.
bool is_sane(const StretchCost& cost);
// Unavailable when the memory is not to be had. The cost is sane.
Result<Digest> stretch(std::string_view secret, const StretchSalt& salt, const StretchCost& cost);

// Overwrites what is no longer needed; the compiler cannot leave it out.
void forget(void* bytes, std::size_t size);

}  // namespace trayproof::crypto
