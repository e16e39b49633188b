// Makes entries of prepared events, one after the other: the ledger's own members go between the given ones, then come
// hash and signature (docs/ledger-format.md). Knows the chain's end and moves it on.
#pragma once

#include <cstdint>
#include <string>

#include "ledger/base/clock.h"
#include "ledger/crypto/sign.h"
#include "ledger/prepared.h"
#include "ledger/store/ledger_file.h"

namespace trayproof {

// How an entry is signed: by which key, and from which of its entries on its signature covers them.
struct Signing {
  const std::string* public_key = nullptr;  // hex
  const crypto::SigningKey* key = nullptr;  // null: covered by the signature of a later entry of this key
  std::int64_t from = 0;
};

struct MadeEntry {
  std::int64_t seq = 0;
  std::string bytes;
  Digest hash{};
  Bytes sig;
};

class EntryMaker {
 public:
  EntryMaker(std::string station, Clock& clock, const store::ChainHead& head);
  // The entry is good until the next one is made.
  const MadeEntry& make(const Prepared& prepared, const Signing& signing);
  const store::ChainHead& head() const { return head_; }

 private:
  void put_together(const Prepared& prepared, const Signing& signing);

  std::string station_;
  Clock& clock_;
  store::ChainHead head_;
  Instant recorded_at_;
  std::string recorded_;  // that instant as it is written: many entries are made in one millisecond
  MadeEntry made_;
};

}  // namespace trayproof
