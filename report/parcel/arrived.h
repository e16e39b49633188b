// A parcel as it arrives: a stranger's file, read piece by piece, never written to disk, and believed in nothing before
// it holds. Needs no ledger and no database: who holds the entries before it brings what it needs of them.
// docs/parcel-format.md, "Taking in", tells every step.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "ledger/base/result.h"
#include "ledger/log/proof.h"
#include "ledger/text/json.h"
#include "report/evidence/check/archive.h"
#include "report/evidence/check/entry_walk.h"
#include "report/parcel/peaks.h"

namespace trayproof::parcel {

// What a parcel says of itself, held against its own checkpoint. Whether it is true is for `walk`.
struct About {
  std::string ledger;
  std::string origin;
  std::string made;  // by the sender's clock
  std::int64_t since = 0;
  log::Head head;          // of the checkpoint
  std::string checkpoint;  // the signed note, byte for byte
};

// What is held of the ledger up to the parcel's `since`.
struct Before {
  Digest last_hash{};                                      // of entry `since`; zeros at 0
  PeakTree tree;                                           // over the entries up to it
  std::vector<std::pair<std::int64_t, json::Value>> kept;  // of them: the first, and those of keys, in their order
};

// The first thing that does not hold.
struct Wrong {
  std::optional<std::int64_t> seq;
  std::string what;
};

struct Walked {
  std::optional<Wrong> wrong;  // then nothing of the parcel may be taken in
  std::int64_t entries = 0;
  std::int64_t signatures = 0;
  std::string ledger_key;  // in force at the end, hex: it signed the checkpoint
  Digest first_hash{};     // of the parcel's first entry
  Digest last_hash{};      // at its end
  PeakTree tree;           // over all entries up to there
};

class Arrived {
 public:
  // Invalid: no parcel, half of one, or one that contradicts itself. Missing, unavailable: the file cannot be read.
  static Result<Arrived> open(const std::string& path);

  const About& about() const { return about_; }
  const std::string& sha256() const { return sha256_; }  // of the file

  // What the first entry names as the hash before it; nothing when there is no entry, or it cannot be told.
  Result<std::optional<std::string>> first_prev() const;

  using Visit = std::function<Result<void>(const evidence::Entry&)>;
  // Checks form, hashes, chain, keys, signatures, the tree against the checkpoint and the proof, in this order, and
  // shows each entry that holds so far; it says when it was `recorded`, and no text of it holds the character 0. Stops
  // at the first that does not. Memory does not grow with the parcel.
  Result<Walked> walk(const Before& before, const Visit& visit) const;

 private:
  Arrived(evidence::Archive archive, std::string sha256) : archive_(std::move(archive)), sha256_(std::move(sha256)) {}
  Result<void> read_about();
  evidence::Archive archive_;
  std::string sha256_;
  About about_;
  log::ConsistencyProof growth_;
};

}  // namespace trayproof::parcel
