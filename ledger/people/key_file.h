// `<ledger>.keys`: the private keys of one station, mode 0600, and the keys of persons, each sealed under a PIN. Never
// in the ledger, a backup, a pack or an export. docs/ledger-format.md, "Key file", is the authority.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "ledger/crypto/sign.h"
#include "ledger/people/key_book.h"
#include "ledger/people/sealed_key.h"

namespace trayproof::people {

struct KeyFile {
  std::string ledger;   // hex id of the ledger that it belongs to
  std::string station;  // the station's id
  crypto::SigningKey station_key;
  crypto::SigningKey ledger_key;
  Digest lookup_secret{};   // finds patients' numbers
  Digest sealing_secret{};  // seals patients' keys, and persons' keys together with their PINs
  Digest mark_secret{};     // marks what this station verified
  // Written before the ledger says that they are in force, so that no crash can leave it without the key that it names.
  std::optional<crypto::SigningKey> next_station_key;
  std::optional<crypto::SigningKey> next_ledger_key;
  // More than one of a person only while a new PIN is being made: the ledger says which is in force.
  std::vector<SealedKey> persons;

  static KeyFile make(const std::string& ledger, const std::string& station);
  // Missing when there is no file; denied when others may read it; corrupt when it is no key file. Reads format 1 too.
  static Result<KeyFile> read(const std::string& path);
  // A new file; conflict when there is one. Durable when it returns.
  Result<void> write(const std::string& path) const;
  // Reads the file, lets `edit` change it, and puts it in place of the old one in one step; durable when it returns.
  // One program at a time: others wait. Nothing is written when `edit` returns an error.
  static Result<KeyFile> change(const std::string& path, const std::function<Result<void>(KeyFile&)>& edit);

  // Puts a next key in force that the ledger names as such. True when one was.
  bool settle(const KeyBook& book);

  StationSecret station_secret() const { return {.ledger = ledger, .secret = sealing_secret}; }
};

std::string key_path(const std::string& ledger_path);

}  // namespace trayproof::people
