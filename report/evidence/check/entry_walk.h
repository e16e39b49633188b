// Walks entries as they stand in a pack, some of a ledger's or all of them, in order of seq: bytes, hashes, the chain
// where two follow each other, keys, signatures. docs/ledger-format.md is the authority on each rule.
#pragma once

#include <cstdint>
#include <deque>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "ledger/base/bytes.h"
#include "ledger/base/time.h"
#include "ledger/log/note.h"
#include "ledger/log/tree.h"
#include "ledger/text/json.h"
#include "ledger/text/json_canonical.h"
#include "report/evidence/check/entry_line.h"
#include "report/evidence/check/problems.h"

namespace trayproof::evidence {

struct Entry {
  std::int64_t seq = 0;
  Digest hash{};
  std::string kind;                 // as it says; empty when it does not
  std::optional<Instant> recorded;  // likewise
  std::string bytes;                // canonical, as hashed
  Bytes sig;                        // empty when covered by a later one
  // All that the bytes say. Read when it is asked for, each time: most entries are only handed on.
  json::Value event() const;
};

// A key-retired of cause stolen: where it stands, and as of when.
struct Theft {
  std::int64_t told = 0;
  Instant since;
  std::string since_text;
};

// Entries that a thief may have signed, by one stolen key.
struct Suspect {
  Theft theft;
  std::string owner;
  std::vector<std::int64_t> seqs;
};

struct KnownKey {
  std::string owner;
  std::string sort;  // person, station, ledger
  std::int64_t added = 0;
  std::optional<std::int64_t> retired;
  std::optional<Theft> theft;
  std::string cosigned;  // by an earlier ledger key; hex
  std::string proved;    // the bytes that its proof signs
};

// What a ledger-restored says was lost.
struct DeclaredLoss {
  std::int64_t seq = 0;
  std::uint64_t restored_size = 0;
  log::Head lost;
};

class EntryWalk {
 public:
  enum class Extent { some, whole };
  EntryWalk(std::string_view member, Extent extent, Problems& problems)
      : member_(member), extent_(extent), problems_(problems) {}

  // Goes on behind entries that were checked before. Those of them that open the ledger or tell of its keys come first,
  // in their order; then `goes_on` with the last of all.
  void know(std::int64_t seq, const json::Value& event) { learn(seq, event); }
  void goes_on(std::int64_t seq, const Digest& hash) { last_ = seq, last_hash_ = hash; }

  // A line of the form that `export` prints, as an entry until the next is taken. Null, and a problem, when it is none.
  // An entry that waits for a signature is a problem as soon as none can reach back to it (limits::signed_events_max).
  const Entry* take(std::string_view line);
  // After the last line: what is still without a signature, and the ledger's own entries.
  void finish();

  std::int64_t entries() const { return entries_; }
  std::int64_t signatures() const { return signatures_; }
  const std::map<std::string, KnownKey>& keys() const { return keys_; }
  // Of the entries of a part of a record (Extent::some), by key.
  std::vector<Suspect> suspects() const;
  const std::vector<DeclaredLoss>& losses() const { return losses_; }
  const std::string& ledger() const { return ledger_; }  // hex; empty while ledger-opened was not seen
  const std::string& origin() const { return origin_; }

 private:
  void problem(std::int64_t seq, std::string what);
  // What the checks look at, of the entry in hand.
  struct Said {
    std::optional<double> v, seq, signs;
    std::optional<std::string_view> key, prev;
  };
  template <typename Object>
  void look_at(const Object& event);
  bool read(std::string_view line);
  void check_place();
  void check_key();
  void check_signature();
  void wait_for_signature(std::int64_t seq, const std::string& key);
  void report_next_unsigned();
  void learn(std::int64_t seq, const json::Value& event);
  void learn_key(std::int64_t seq, const json::Value& event);
  void learn_loss(std::int64_t seq, const json::Value& event);
  void learn_theft(std::int64_t seq, const json::Value& event);

  // The entry in hand: its line, what it is, how it was read, what it said.
  EntryLine row_;
  Entry entry_;
  json::CanonicalObject plain_;
  std::optional<json::Value> event_;  // where it was not plain
  std::string canonical_;             // of that
  Said said_;
  std::string member_;
  Extent extent_;
  Problems& problems_;
  std::int64_t entries_ = 0;
  std::int64_t signatures_ = 0;
  std::int64_t last_ = 0;
  Digest last_hash_{};
  std::string ledger_, origin_, ledger_key_;
  std::map<std::string, KnownKey> keys_;
  std::vector<DeclaredLoss> losses_;
  struct Recorded {
    std::int64_t seq = 0;
    Instant at;
  };
  std::map<std::string, std::vector<Recorded>> recorded_;  // by key: a theft is told further on
  // Entries without a signature so far, by key, in order; and all of them in order, with those that were signed since.
  // A key goes when its last one does: a stranger's pack may name very many.
  struct Waiting {
    std::deque<std::int64_t> seqs;
    std::size_t in_line = 0;
  };
  using ByKey = std::map<std::string, Waiting>;
  ByKey unsigned_;
  std::deque<std::pair<std::int64_t, ByKey::iterator>> line_;
};

}  // namespace trayproof::evidence
