// The part of verify that one range of seqs can tell by itself: hashes, links, the tree over the range, and for each
// entry its form, its signature and the columns beside it. Several ranges are read at the same time; what needs all
// entries in order is joined afterwards (verify_walk.h). Private to verify.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "ledger/log/tree.h"
#include "ledger/store/entry_scan.h"
#include "ledger/text/json.h"
#include "ledger/text/json_canonical.h"
#include "ledger/verify.h"

namespace trayproof {

// What was found of one entry, to be looked at in order.
struct RangeEntry {
  std::int64_t seq = 0;
  json::Value event;
  bool has_signature = false;
};

struct RangeFound {
  std::int64_t events = 0;
  std::int64_t first = 0;  // seqs; 0 when there is no entry
  std::int64_t last = 0;
  std::optional<std::string> first_prev;  // what the first names as the hash before it; nothing when it cannot be read
  Digest last_hash{};
  std::optional<std::int64_t> missing;  // the first seq missing between the first and the last
  // Over the entries; of no use when one is missing: the tree, and all signatures, each hashed onto those before it.
  // The tree goes on from the one that the range was begun with, or is the range's alone.
  struct State {
    std::int64_t size = 0;
    log::Frontier tree;
    Digest signatures{};
  };
  State state;
  bool goes_on = false;
  std::vector<State> states;    // the same at the sizes that were asked for
  std::int64_t signatures = 0;  // checked
  std::vector<Problem> problems;
  std::vector<Problem> column_problems;  // of what stands beside entries that may well hold
  std::vector<RangeEntry> entries;       // for parts beyond the chain
  std::optional<Error> unreadable;       // reading ended here
};

struct RangeRules {
  VerifyParts parts = VerifyParts::all;
  std::int64_t signed_before = 0;   // signatures up to this seq were checked by an earlier run
  std::vector<std::int64_t> sizes;  // at which the tree's root is wanted, ascending
};

// By the key that the event names.
bool signature_fits(const json::Value& event, const Digest& hash, ByteView signature);

class RangeCheck {
 public:
  // `rules` outlives it.
  RangeCheck(store::EntryScan scan, const RangeRules& rules) : scan_(std::move(scan)), rules_(rules) {}
  store::EntryScan& scan() { return scan_; }
  // A range that does not begin where a subtree does needs the tree before it.
  RangeFound read(std::int64_t from, std::int64_t until, const std::optional<log::Frontier>& before);

 private:
  void entry(const store::EntryRow& row);
  std::optional<std::string> look_into(const store::EntryRow& row, const Digest& hash);
  void check_signature(const store::EntryRow& row, const Digest& hash, const json::Value& event);
  void check_columns(const store::EntryRow& row, const json::Value& event);
  void problem(std::int64_t seq, std::string what) { found_.problems.push_back({seq, std::move(what)}); }

  store::EntryScan scan_;
  const RangeRules& rules_;
  json::CanonicalObject plain_;
  RangeFound found_;
  std::size_t next_size_ = 0;
};

}  // namespace trayproof
