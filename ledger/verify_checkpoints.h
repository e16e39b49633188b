// The part of verify that holds the kept checkpoints against the tree. Private to verify; docs/checkpoint-format.md.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "ledger/log/note.h"
#include "ledger/verify.h"

namespace trayproof {

class CheckpointCheck {
 public:
  CheckpointCheck(const Ledger& ledger, Verification& found) : ledger_(ledger), found_(found) {}
  // Reads those that are kept, and tells of what is none.
  Result<void> read();
  // The sizes that they tell of, ascending, each once.
  std::vector<std::int64_t> sizes() const;
  // The tree's root at one of these sizes.
  void at(std::int64_t size, const Digest& root);
  // No root can be told for the sizes that are left: an entry is missing from `missing` on, or the record ends after
  // `events`.
  void torn(std::int64_t missing);
  void ended(std::int64_t events);

 private:
  const Ledger& ledger_;
  Verification& found_;
  std::multimap<std::int64_t, log::Checkpoint> waiting_;  // by size
};

}  // namespace trayproof
