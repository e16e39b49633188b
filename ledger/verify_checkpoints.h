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
  CheckpointCheck(const Ledger& ledger, const VerifyOptions& options, Verification& found)
      : ledger_(ledger), options_(options), found_(found) {}
  // Reads those that are kept and takes those from outside, and tells of what is none or not this ledger's.
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
  using State = CheckpointFound::State;
  void take(std::string_view bytes, CheckpointFound::Source source, const Result<people::KeyBook>& book);
  // A witness whose key was given signed one of those from outside, or of the kept where none came from there.
  void look_for_witnesses();
  Result<void> read_losses();
  // What a ledger-restored says was lost.
  struct Declared {
    log::Head lost;
    CheckpointFound::Loss loss;
  };
  // The one that declares just this state.
  const Declared* declared(const log::Head& head) const;
  // Whether a state of this size may lie between a restored copy and what was lost after it; nothing here can show it.
  std::string perhaps_lost(std::uint64_t size) const;
  void told(std::size_t place, State state, std::optional<std::int64_t> seq, std::string what);
  // The record does not hold this state: lost as it declares itself, or else `state`.
  void not_here(std::size_t place, State state, std::int64_t seq, std::string what);
  void other_history(std::size_t place, std::int64_t seq);

  const Ledger& ledger_;
  const VerifyOptions& options_;
  Verification& found_;
  std::vector<Declared> losses_;
  std::multimap<std::int64_t, std::size_t> waiting_;  // by size: places in checkpoint_states
};

}  // namespace trayproof
