// The chain: an entry's hash covers its bytes, and its bytes name the hash before it. Pure: no disk, no word of the
// trade. docs/ledger-format.md, "Chain", is the authority.
//
//   hash = SHA-256(0x00 || canonical bytes)        which is at the same time the leaf hash of RFC 6962 section 2.1
#pragma once

#include <string_view>

#include "ledger/base/bytes.h"

namespace trayproof::log {

// `prev` of the first entry.
inline constexpr Digest no_hash{};

Digest leaf_hash(std::string_view canonical_bytes);

// The hash that an entry's bytes name as the one before it (its first member `prev`), without reading all of it; empty
// when there is none. Bytes in canonical form are taken for granted.
std::string_view named_prev(std::string_view canonical_bytes);

}  // namespace trayproof::log
