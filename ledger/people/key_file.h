// `<ledger>.keys`: the private keys of one station, mode 0600. Never in the ledger, a backup, a pack or an export.
#pragma once

#include <string>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "ledger/crypto/sign.h"

namespace trayproof::people {

struct KeyFile {
  std::string ledger;             // hex id of the ledger that it belongs to
  std::string station;            // the station's id
  crypto::SigningKey station_key;
  crypto::SigningKey ledger_key;
  Digest lookup_secret{};         // finds patients' numbers
  Digest sealing_secret{};        // seals patients' keys
  Digest mark_secret{};           // marks what this station verified

  static KeyFile make(const std::string& ledger, const std::string& station);
  // Missing when there is no file; denied when others may read it; corrupt when it is no key file.
  static Result<KeyFile> read(const std::string& path);
  // A new file; conflict when there is one. Durable when it returns.
  Result<void> write(const std::string& path) const;
};

std::string key_path(const std::string& ledger_path);

}  // namespace trayproof::people
