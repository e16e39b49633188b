#include "ledger/verify_walk.h"

#include <algorithm>
#include <condition_variable>
#include <thread>
#include <vector>

#include "ledger/base/limits.h"
#include "ledger/log/chain.h"
#include "ledger/verify_file.h"
#include "ledger/verify_trust.h"
#include "ledger/words/language.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

constexpr unsigned threads_max = 8;
// Entries a range. A power of two, so that each range is a whole subtree of the tree; small where parsed entries wait
// to be joined, larger where only hashes do, and never so large that a writer would wait for the reading of it.
constexpr std::int64_t chain_range = 8192;
constexpr std::int64_t entry_range = 1024;
// No entry can say a higher seq of itself (docs/ledger-format.md, "Values"): a row past it is told as what it is, an
// end that does not follow on what is there.
constexpr std::int64_t seq_max = 999'999'999'999'999;

unsigned threads_of(const VerifyOptions& options) {
  const unsigned wanted = options.threads != 0 ? options.threads : std::thread::hardware_concurrency();
  return std::clamp(wanted, 1U, threads_max);
}

store::EntryScan::Columns columns_of(const VerifyOptions& options) {
  return options.parts == VerifyParts::chain ? store::EntryScan::Columns::chain : store::EntryScan::Columns::all;
}

}  // namespace

// Whose turn it is: ranges are handed out in order and joined in order.
struct Turns {
  Turns(std::int64_t from, std::int64_t last) : next(from), until(last) {}
  std::mutex mutex;
  std::condition_variable joined_one;
  std::int64_t next;  // the first seq that was not handed out
  std::int64_t until;
  std::size_t handed_out = 0;
  std::size_t joined = 0;
  bool over = false;
  std::optional<Error> failed;  // the machine, not the record
};

Walk::Walk(Ledger& ledger, const VerifyOptions& options, Verification& found)
    : ledger_(ledger),
      options_(options),
      found_(found),
      rules_{.parts = options.parts, .signed_before = 0, .sizes = {}},
      checkpoints_(ledger, options_, found),
      keys_(ledger, found),
      beside_(ledger, found) {}

Digest Walk::state_of(const log::Frontier& tree, const Digest& signatures) {
  return crypto::sha256({tree.root(), signatures});
}

// A range ends where the same range ended before, so that the signatures of two walks are hashed in the same portions.
void Walk::state_at(const RangeFound::State& tail, const log::Frontier& tree) {
  checkpoints_.at(tail.size, tree.root());
  if (tail.size != rules_.signed_before || options_.parts == VerifyParts::chain) return;
  if (state_of(tree, crypto::sha256({signatures_, tail.signatures})) != trusted_state_) {
    problem(tail.size, say("verify.changed-since"));
    trust_broken_ = true;
  }
}

void Walk::join_tree(const RangeFound& found) {
  if (torn_) return;
  torn_ = found.first != expected_ ? expected_ : found.missing;
  const auto whole = [&](const log::Frontier& tail) {
    if (found.goes_on) return tail;
    log::Frontier tree = tree_;
    tree.append(tail);
    return tree;
  };
  for (const RangeFound::State& tail : found.states) {
    if (!torn_ || tail.size < *torn_) state_at(tail, whole(tail.tree));
  }
  if (torn_) {
    if (rules_.signed_before >= *torn_) {
      problem(*torn_, say("verify.changed-since"));
      trust_broken_ = true;
    }
    checkpoints_.torn(*torn_);
    return;
  }
  tree_ = whole(found.state.tree);
  signatures_ = crypto::sha256({signatures_, found.state.signatures});
}

bool Walk::join(const RangeFound& found) {
  found_.problems.insert(found_.problems.end(), found.problems.begin(), found.problems.end());
  if (found.events > 0) {
    join_tree(found);
    if (found.first != expected_) problem(expected_, say("verify.missing", {{"found", std::to_string(found.first)}}));
    if (found.first_prev && *found.first_prev != hex(previous_)) problem(found.first, say("verify.prev"));
    for (const RangeEntry& entry : found.entries) join_entry(entry);
    column_problems_.insert(column_problems_.end(), found.column_problems.begin(), found.column_problems.end());
    found_.events += found.events;
    found_.signatures += found.signatures;
    previous_ = found.last_hash;
    expected_ = found.last + 1;
  }
  if (!found.unreadable) return true;
  // Damaged pages end the walk where they begin; what can be told after them still is.
  problem(expected_, say("verify.unreadable", {{"why", found.unreadable->sentence()}}));
  unreadable_ = true;
  found_.whole = false;
  return false;
}

void Walk::join_entry(const RangeEntry& entry) {
  const std::int64_t seq = entry.seq;
  const std::string key(entry.event.text_at("key").value_or(""));
  report_unsigned(key, seq - limits::signed_events_max - 1);
  auto& waiting = unsigned_[key];
  if (!entry.has_signature) {
    waiting.insert(waiting.end(), seq);
    if (entry.event.text_at("kind") == "countersigned") problem(seq, say("verify.countersigned-unsigned"));
  } else {
    const auto signs = entry.event.number_at("signs");
    const auto from = signs ? static_cast<std::int64_t>(*signs) : seq;
    waiting.erase(waiting.lower_bound(std::min(from, seq)), waiting.end());
  }
  keys_.entry(seq, entry.event);
  if (options_.parts == VerifyParts::all) beside_.entry(seq, entry.event, entry.has_signature);
}

void Walk::report_unsigned(const std::string& key, std::int64_t up_to) {
  auto& waiting = unsigned_[key];
  while (!waiting.empty() && *waiting.begin() <= up_to) {
    problem(*waiting.begin(), say("verify.unsigned"));
    waiting.erase(waiting.begin());
  }
}

void Walk::read_on_this_thread(RangeCheck& range, Turns& turns) {
  const std::int64_t size = options_.parts == VerifyParts::chain ? chain_range : entry_range;
  std::unique_lock lock(turns.mutex);
  while (!turns.over && turns.next <= turns.until) {
    // Where seqs are missing, the range begins with the next that is there; a page that cannot be read is told when
    // the range is.
    const auto there = range.scan().first_from(turns.next);
    const std::int64_t from = there.ok() ? there.value().value_or(turns.until + 1) : turns.next;
    if (from > turns.until) break;
    const std::int64_t until = std::min(turns.until, (from - 1) / size * size + size);
    turns.next = until + 1;
    const std::size_t number = turns.handed_out++;
    // Only what was recorded meanwhile begins in the middle, and then everything before it is joined.
    std::optional<log::Frontier> before;
    if ((from - 1) % size != 0) before = tree_;
    lock.unlock();
    const RangeFound found = range.read(from, until, before);
    lock.lock();
    turns.joined_one.wait(lock, [&] { return turns.over || turns.joined == number; });
    if (turns.over) return;
    if (found.unreadable && found.unreadable->code() != ErrorCode::corrupt) {
      turns.failed = found.unreadable;
      turns.over = true;
    } else {
      turns.over = !join(found);
    }
    ++turns.joined;
    turns.joined_one.notify_all();
  }
}

// Reads and joins what there is from `expected_` to `until`.
Result<void> Walk::read_ranges(std::int64_t until) {
  Turns turns(expected_, std::min(until, seq_max));
  std::vector<RangeCheck> ranges;
  for (unsigned i = 0; i < threads_of(options_); ++i) {
    TRY_LET(auto scan, store::EntryScan::open(ledger_.path(), columns_of(options_)));
    ranges.emplace_back(std::move(scan), rules_);
  }
  std::vector<std::thread> threads;
  for (std::size_t i = 1; i < ranges.size(); ++i) {
    threads.emplace_back(handed_over([this, &ranges, &turns, i] { read_on_this_thread(ranges[i], turns); }));
  }
  read_on_this_thread(ranges[0], turns);
  for (std::thread& one : threads) one.join();
  if (turns.failed) return *turns.failed;
  return {};
}

// Where the chain ended at the last commit: tells entries cut off at the end.
Result<void> Walk::check_latest(const store::ChainHead& head) {
  TRY_LET(const auto latest, ledger_.file().latest());
  if (!latest) {
    found_.problems.push_back({std::nullopt, say("verify.no-latest")});
    return {};
  }
  if (latest->size != head.seq || latest->hash != head.hash) {
    problem(std::min(latest->size, head.seq) + (latest->size == head.seq ? 0 : 1),
            say("verify.end", {{"found", std::to_string(head.seq)}, {"kept", std::to_string(latest->size)}}));
  } else if (ledger_.keys() != nullptr) {
    const std::string text = "latest " + std::to_string(latest->size) + " " + hex(latest->hash);
    if (crypto::keyed_mark(ledger_.keys()->mark_secret, as_bytes(text)) != latest->mark) {
      problem(latest->size, say("verify.end-mark"));
    }
  }
  return {};
}

void Walk::finish_chain(std::int64_t end) {
  if (!unreadable_ && expected_ - 1 != end) problem(expected_, say("verify.missing", {{"found", std::to_string(end)}}));
  std::vector<std::string> keys;
  for (const auto& [key, waiting] : unsigned_) keys.push_back(key);
  for (const std::string& key : keys) report_unsigned(key, end);
  const auto events = static_cast<std::int64_t>(tree_.size());
  const std::int64_t trusted = rules_.signed_before;
  checkpoints_.ended(events);
  if (!torn_ && trusted > events)
    problem(events + 1, say("verify.shorter", {{"size", std::to_string(trusted)}, {"found", std::to_string(events)}}));
  found_.head = previous_;
  found_.root = tree_.root();
  found_.signed_before = std::min(trusted, events);
}

// After all: what was taken on trust did not hold, and each of those signatures must tell for itself.
Result<void> Walk::check_trusted_signatures() {
  if (!trust_broken_) return {};
  return ledger_.scan(1, rules_.signed_before, [this](const store::EntryView& entry) -> Result<void> {
    const auto event = json::parse(entry.bytes);
    if (entry.sig.empty() || !event.ok()) return {};
    ++found_.signatures;
    if (!signature_fits(event.value(), log::leaf_hash(entry.bytes), entry.sig))
      problem(entry.seq, say("verify.signature"));
    return {};
  });
}

// In one snapshot: what was recorded while the ranges were read, and what stands beside the chain at that moment.
Result<void> Walk::finish() {
  store::Database& database = ledger_.file().database();
  TRY_LET(const auto moment, store::Reading::begin(database));
  TRY_LET(const auto head, ledger_.head());
  if (!unreadable_ && head.seq >= expected_) {
    caught_up_ = true;
    TRY_LET(auto scan, store::EntryScan::over(database, columns_of(options_)));
    RangeCheck range(std::move(scan), rules_);
    Turns turns(expected_, std::min(head.seq, seq_max));
    read_on_this_thread(range, turns);
    if (turns.failed) return *turns.failed;
  }
  finish_chain(head.seq);
  const auto told = [&](const Result<void>& done) -> Result<void> {
    if (done.ok() || done.error().code() != ErrorCode::corrupt) return done;
    found_.whole = false;
    found_.problems.push_back({std::nullopt, say("verify.unreadable", {{"why", done.error().sentence()}})});
    return {};
  };
  if (options_.parts == VerifyParts::chain) return told(check_latest(head));
  const bool entries_hold = std::none_of(found_.problems.begin(), found_.problems.end(),
                                         [](const Problem& one) { return one.seq.has_value(); });
  TRY(told(check_trusted_signatures()));
  TRY(told(check_latest(head)));
  keys_.finish();
  if (options_.parts == VerifyParts::signatures) return {};
  found_.problems.insert(found_.problems.end(), column_problems_.begin(), column_problems_.end());
  TRY(told(check_file(ledger_, options_.depth, [this](std::optional<std::int64_t> seq, std::string what) {
    found_.problems.push_back({seq, std::move(what)});
  })));
  return told(beside_.finish(options_.depth, entries_hold ? EntriesHold::yes : EntriesHold::no));
}

Result<void> Walk::run() {
  if (options_.depth != Depth::full) {
    TRY_LET(const auto trusted, trusted_state(ledger_));
    if (trusted) rules_.signed_before = trusted->size, trusted_state_ = trusted->state;
  }
  TRY(checkpoints_.read());
  rules_.sizes = checkpoints_.sizes();
  if (rules_.signed_before > 0) rules_.sizes.push_back(rules_.signed_before);
  std::sort(rules_.sizes.begin(), rules_.sizes.end());
  rules_.sizes.erase(std::unique(rules_.sizes.begin(), rules_.sizes.end()), rules_.sizes.end());
  checkpoints_.at(0, tree_.root());
  TRY_LET(const auto head, ledger_.head());
  TRY(read_ranges(head.seq));
  return finish();
}

}  // namespace trayproof
