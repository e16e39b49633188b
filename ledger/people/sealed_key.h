// A person's Ed25519 seed, sealed under a key that comes of the PIN (Argon2id) and of the station's secret: without
// either it stays shut. docs/ledger-format.md, "Key file", is the authority on the bytes.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "ledger/base/time.h"
#include "ledger/crypto/sign.h"
#include "ledger/crypto/stretch.h"
#include "ledger/text/json.h"

namespace trayproof::people {

struct SealedKey {
  std::string person;
  crypto::PublicKey public_key{};
  crypto::StretchSalt salt{};
  crypto::StretchCost cost;
  Bytes sealed;
  // Wrong PINs since the last right one, and when the last was given: the next has to wait.
  std::int64_t wrong = 0;
  Instant wrong_at;
};

// What every sealing of one ledger's station has in common.
struct StationSecret {
  std::string ledger;
  Digest secret{};
};

Result<SealedKey> seal_key(const crypto::SigningKey& key, std::string_view person, std::string_view pin,
                           const StationSecret& station, const crypto::StretchCost& cost);
// Nothing when the PIN or the station's secret does not fit, or a byte of it was changed.
Result<std::optional<crypto::SigningKey>> unseal_key(const SealedKey& sealed, std::string_view pin,
                                                     const StationSecret& station);

json::Value to_json(const SealedKey& sealed);
// Nothing when a member is missing, of the wrong form, or asks for an insane cost.
std::optional<SealedKey> sealed_key_of(const json::Value& value);

// How long after the last wrong PIN the next one is looked at: three go at once, then 1, 2, 4 … seconds, 300 at most.
std::int64_t wait_seconds(std::int64_t wrong);

}  // namespace trayproof::people
