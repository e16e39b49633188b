// The walk over all entries: ranges of seqs are read on several threads and joined in order, so that what is found does
// not depend on how many threads there are. Private to verify.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>

#include "ledger/log/tree.h"
#include "ledger/verify.h"
#include "ledger/verify_beside.h"
#include "ledger/verify_checkpoints.h"
#include "ledger/verify_keys.h"
#include "ledger/verify_range.h"

namespace trayproof {

struct Turns;

class Walk {
 public:
  Walk(Ledger& ledger, const VerifyOptions& options, Verification& found);
  Result<void> run();
  // Of the whole record as it was walked: its tree and its signatures.
  Digest state() const { return state_of(tree_, signatures_); }
  // Whether a later walk would come to the same state: not when events were recorded meanwhile, for those signatures
  // were hashed in a portion of their own.
  bool state_lasts() const { return !caught_up_; }

 private:
  static Digest state_of(const log::Frontier& tree, const Digest& signatures);
  Result<void> read_ranges(std::int64_t until);
  void read_on_this_thread(RangeCheck& range, Turns& turns);
  // The next range in order; false when nothing can be read after it.
  bool join(const RangeFound& found);
  void join_tree(const RangeFound& found);
  void state_at(const RangeFound::State& tail, const log::Frontier& tree);
  void join_entry(const RangeEntry& entry);
  void report_unsigned(const std::string& key, std::int64_t up_to);
  void finish_chain(std::int64_t end);
  Result<void> finish();
  Result<void> check_latest(const store::ChainHead& head);
  Result<void> check_trusted_signatures();
  void problem(std::int64_t seq, std::string what) { found_.problems.push_back({seq, std::move(what)}); }

  Ledger& ledger_;
  const VerifyOptions options_;
  Verification& found_;
  RangeRules rules_;
  CheckpointCheck checkpoints_;
  KeyCheck keys_;
  BesideCheck beside_;
  std::int64_t expected_ = 1;
  Digest previous_{};
  log::Frontier tree_;
  Digest signatures_{};               // of each range, hashed onto those before it
  std::optional<std::int64_t> torn_;  // the first missing seq: no root can be told from there on
  Digest trusted_state_{};
  bool trust_broken_ = false;
  bool unreadable_ = false;
  bool caught_up_ = false;
  std::vector<Problem> column_problems_;
  std::map<std::string, std::set<std::int64_t>> unsigned_;  // by key: events still waiting for a signature
};

}  // namespace trayproof
