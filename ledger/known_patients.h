// What the ledger knows of its patients, kept from append to append: reading it anew costs more than the append does.
// Read again when another program wrote, or when this one destroyed some.
#pragma once

#include <optional>

#include "ledger/identities.h"

namespace trayproof {

class KnownPatients {
 public:
  KnownPatients(store::LedgerFile& file, const people::KeyFile& keys)
      : identities(file, keys), numbers(keys), file_(file) {}
  KnownPatients(const KnownPatients&) = delete;
  KnownPatients& operator=(const KnownPatients&) = delete;

  // Inside the transaction that is about to use it.
  Result<void> refresh();
  // The transaction was committed; of the patients made in it, these came with events that were left out.
  void keep(const std::unordered_map<crypto::Token, FreshPatient, crypto::TokenHash>& left_out);
  // It was rolled back.
  void undo();

  Identities identities;
  KnownNumbers numbers;

 private:
  store::LedgerFile& file_;
  std::optional<store::LedgerFile::Version> read_at_;
};

}  // namespace trayproof
