// Entries written past the program by somebody who holds the key file: hashed, signed and chained as it pleases them,
// with every index and mark as the program would have made it. What verify names then is a rule of the format alone.
#pragma once

#include <optional>
#include <string>

#include "tests/support/ward_ledger.h"

namespace trayproof::tests {

struct ForgedEntry {
  json::Value body = {};                          // kind, at, by and the kind's own fields
  std::optional<crypto::SigningKey> key = {};     // named inside, and signing; else the station's
  std::optional<crypto::SigningKey> signer = {};  // signing in its place
  bool is_signed = true;
  std::optional<json::Value> signs = {};
  std::optional<std::int64_t> seq = {};  // said inside; else its place
  std::optional<Digest> prev = {};       // said inside; else the hash of the entry before
  std::int64_t format = 1;
};

class Forgery {
 public:
  explicit Forgery(WardLedger& ward);

  // Its place in the chain.
  std::int64_t add(const ForgedEntry& entry);
  // A pack-opened, which nothing else depends on.
  std::int64_t add_opening(ForgedEntry entry = {});
  // A key of that sort, proved by itself.
  void add_key(const crypto::SigningKey& key, const std::string& owner, const std::string& sort);
  // Marks the end as the station would, and tells what verify says: "seq: what", the first that names a seq.
  std::string first_problem();

  const people::KeyFile& keys() const { return keys_; }

 private:
  WardLedger& ward_;
  people::KeyFile keys_;
  std::int64_t next_ = 0;
  Digest previous_{};
};

}  // namespace trayproof::tests
