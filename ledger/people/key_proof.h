// What a new key signs to show that its owner holds it (docs/ledger-format.md, "Keys").
#pragma once

#include <string>
#include <string_view>

#include "ledger/crypto/sign.h"

namespace trayproof::people {

struct KeyClaim {
  std::string_view ledger;  // hex id
  std::string_view owner;
  std::string_view sort;        // person, station, ledger
  std::string_view public_key;  // hex
};
std::string proof_text(const KeyClaim& claim);
// Hex: by the new key itself (`proof`), or by the ledger key before it (`cosigned`).
std::string prove(const KeyClaim& claim, const crypto::SigningKey& by);

}  // namespace trayproof::people
