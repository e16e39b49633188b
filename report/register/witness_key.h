// The register's own key, with which it co-signs what it holds as the largest state of a ledger. A file of mode 0600
// with the name and the key, made once; whoever has it can make the register say that it saw what it did not see.
#pragma once

#include <string>

#include "ledger/base/result.h"
#include "ledger/log/note.h"

namespace trayproof::registry {

struct WitnessKey {
  std::string name;  // as C2SP wants it: a name without blanks and plus signs, best one of a domain
  crypto::SigningKey key;

  // Invalid name; conflict when the file is there. Durable when it returns.
  static Result<WitnessKey> make(const std::string& path, const std::string& name);
  // Missing; denied when others may read it; invalid when it is none.
  static Result<WitnessKey> read(const std::string& path);
  log::VerifierKey verifier() const { return {name, key.public_key(), log::KeySort::cosignature}; }
};

}  // namespace trayproof::registry
