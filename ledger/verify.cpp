#include "ledger/verify.h"

#include <algorithm>
#include <limits>
#include <map>
#include <set>
#include <unordered_map>
#include <unordered_set>

#include "ledger/base/limits.h"
#include "ledger/content.h"
#include "ledger/identities.h"
#include "ledger/log/chain.h"
#include "ledger/verify_beside.h"
#include "ledger/verify_file.h"
#include "ledger/verify_keys.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

using json::Value;

Digest verified_mark(const people::KeyFile& keys, const store::LedgerFile::Marked& marked) {
  const std::string text = "verified-2 " + std::to_string(marked.size) + " " + hex(marked.hash);
  return crypto::keyed_mark(keys.mark_secret, as_bytes(text));
}

class Walk {
 public:
  Walk(Ledger& ledger, Depth depth, Verification& found)
      : ledger_(ledger), depth_(depth), found_(found), keys_(ledger, found), beside_(ledger, found) {}

  Result<void> run();
  // Of the whole record as it was walked.
  Digest state() const { return crypto::sha256({frontier_.root(), signatures_}); }

 private:
  void problem(std::int64_t seq, std::string what) { found_.problems.push_back({seq, std::move(what)}); }
  Result<void> visit(const store::EntryView& entry);
  void check_bytes(const store::EntryView& entry, const Value& event);
  void check_signature(const store::EntryView& entry, const Digest& hash, const Value& event);
  void report_unsigned(const std::string& key, std::int64_t up_to);
  Result<void> read_trusted_head();
  Result<void> check_checkpoints();
  Result<void> check_latest();
  Result<void> check_trusted_signatures();

  Ledger& ledger_;
  Depth depth_;
  Verification& found_;
  KeyCheck keys_;
  BesideCheck beside_;
  log::Frontier frontier_;
  std::int64_t expected_ = 1;
  Digest previous_{};
  std::int64_t trusted_ = 0;  // signatures up to this size were checked before
  Digest trusted_state_{};
  bool trust_broken_ = false;
  Digest signatures_{};                                     // all so far, each hashed onto those before it
  std::map<std::string, std::set<std::int64_t>> unsigned_;  // by key: events still waiting for a signature
  std::map<std::int64_t, std::vector<log::Checkpoint>> checkpoints_;
};

// A head that this station marked earlier spares its signatures; what was marked is compared when the walk gets there.
Result<void> Walk::read_trusted_head() {
  if (depth_ == Depth::full || ledger_.keys() == nullptr) return {};
  TRY_LET(const auto marked, ledger_.file().verified());
  if (!marked || verified_mark(*ledger_.keys(), *marked) != marked->mark) return {};
  trusted_ = marked->size;
  trusted_state_ = marked->hash;
  return {};
}

void Walk::check_bytes(const store::EntryView& entry, const Value& event) {
  const std::int64_t seq = entry.seq;
  if (json::canonical(event) != entry.bytes) problem(seq, say("verify.not-canonical"));
  if (event.number_at("seq") != static_cast<double>(seq)) problem(seq, say("verify.seq"));
  if (event.number_at("v") != 1.0) problem(seq, say("verify.version"));
  if (event.text_at("prev") != hex(previous_)) problem(seq, say("verify.prev"));
}

void Walk::report_unsigned(const std::string& key, std::int64_t up_to) {
  auto& waiting = unsigned_[key];
  while (!waiting.empty() && *waiting.begin() <= up_to) {
    problem(*waiting.begin(), say("verify.unsigned"));
    waiting.erase(waiting.begin());
  }
}

// A signature that does not fit is told once, at its entry: those that it was to cover are not the ones that changed.
void Walk::check_signature(const store::EntryView& entry, const Digest& hash, const Value& event) {
  const std::int64_t seq = entry.seq;
  const std::string key(event.text_at("key").value_or(""));
  report_unsigned(key, seq - limits::signed_events_max - 1);
  auto& waiting = unsigned_[key];
  if (entry.sig.empty()) {
    waiting.insert(seq);
    return;
  }
  const bool skip = seq <= trusted_;
  if (!skip) {
    crypto::PublicKey public_key{};
    ++found_.signatures;
    if (!from_hex(key, public_key) || !crypto::check_signature(public_key, hash, entry.sig))
      problem(seq, say("verify.signature"));
  }
  const auto signs = event.number_at("signs");
  const auto from = signs ? static_cast<std::int64_t>(*signs) : seq;
  waiting.erase(waiting.lower_bound(std::min(from, seq)), waiting.end());
}

Result<void> Walk::visit(const store::EntryView& entry) {
  if (entry.seq != expected_) {
    problem(expected_, say("verify.missing", {{"found", std::to_string(entry.seq)}}));
    expected_ = entry.seq;
  }
  ++expected_;
  ++found_.events;
  const Digest hash = log::leaf_hash(entry.bytes);
  if (entry.hash.size() != hash.size() || !std::equal(hash.begin(), hash.end(), entry.hash.begin())) {
    problem(entry.seq, say("verify.hash"));
  }
  frontier_.add(hash);
  if (!entry.sig.empty()) signatures_ = crypto::sha256({signatures_, entry.sig});
  const auto parsed = json::parse(entry.bytes);
  if (!parsed.ok()) {
    problem(entry.seq, say("verify.not-json", {{"why", parsed.error().sentence()}}));
  } else {
    const Value& event = parsed.value();
    check_bytes(entry, event);
    check_signature(entry, hash, event);
    keys_.entry(entry.seq, event);
    TRY(beside_.entry(entry.seq, event));
  }
  previous_ = hash;
  const std::int64_t size = static_cast<std::int64_t>(frontier_.size());
  if (size == trusted_ && state() != trusted_state_) {
    problem(entry.seq, say("verify.changed-since"));
    trust_broken_ = true;
  }
  for (const log::Checkpoint& checkpoint : checkpoints_[size]) {
    if (checkpoint.head.root != frontier_.root()) {
      problem(entry.seq, say("verify.checkpoint-root", {{"size", std::to_string(size)}}));
    }
  }
  checkpoints_.erase(size);
  return {};
}

Result<void> Walk::check_checkpoints() {
  TRY_LET(const auto notes, ledger_.checkpoints());
  for (const std::string& bytes : notes) {
    ++found_.checkpoints;
    const auto note = log::parse_note(bytes);
    const auto checkpoint = note.ok() ? log::parse_checkpoint(note.value()) : Result<log::Checkpoint>(note.error());
    if (!checkpoint.ok()) {
      found_.problems.push_back(
          {std::nullopt, say("verify.checkpoint-form", {{"why", checkpoint.error().sentence()}})});
      continue;
    }
    const std::string size = std::to_string(checkpoint.value().head.size);
    if (!log::is_signed_by(note.value(), ledger_.ledger_key()) || checkpoint.value().origin != ledger_.origin()) {
      found_.problems.push_back({std::nullopt, say("verify.checkpoint-signature", {{"size", size}})});
    }
    checkpoints_[static_cast<std::int64_t>(checkpoint.value().head.size)].push_back(checkpoint.value());
  }
  return {};
}

// Where the chain ended at the last commit: tells entries cut off at the end.
Result<void> Walk::check_latest() {
  TRY_LET(const auto latest, ledger_.file().latest());
  TRY_LET(const auto head, ledger_.head());
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

// After all: what was taken on trust did not hold, and each of those signatures must tell for itself.
Result<void> Walk::check_trusted_signatures() {
  if (!trust_broken_) return {};
  return ledger_.scan(1, trusted_, [this](const store::EntryView& entry) -> Result<void> {
    const auto event = json::parse(entry.bytes);
    if (entry.sig.empty() || !event.ok()) return {};
    crypto::PublicKey key{};
    ++found_.signatures;
    const bool fits = from_hex(event.value().text_at("key").value_or(""), key) &&
                      crypto::check_signature(key, log::leaf_hash(entry.bytes), entry.sig);
    if (!fits) problem(entry.seq, say("verify.signature"));
    return {};
  });
}

Result<void> Walk::run() {
  TRY(read_trusted_head());
  TRY(check_checkpoints());
  TRY_LET(const auto head, ledger_.head());
  // Damaged pages end the walk where they begin; what can be told after them still is.
  const auto walked = ledger_.scan(1, head.seq, [this](const store::EntryView& entry) { return visit(entry); });
  if (!walked.ok() && walked.error().code() != ErrorCode::corrupt) return walked;
  if (!walked.ok())
    problem(expected_, say("verify.unreadable", {{"why", walked.error().sentence()}}));
  else if (expected_ != head.seq + 1)
    problem(expected_, say("verify.missing", {{"found", std::to_string(head.seq)}}));
  std::vector<std::string> keys;
  for (const auto& [key, waiting] : unsigned_) keys.push_back(key);
  for (const std::string& key : keys) report_unsigned(key, head.seq);
  const bool entries_hold = std::none_of(found_.problems.begin(), found_.problems.end(),
                                         [](const Problem& one) { return one.seq.has_value(); });
  const auto events = static_cast<std::int64_t>(frontier_.size());
  for (const auto& [size, left] : checkpoints_) {
    if (left.empty()) continue;
    problem(events + 1,
            say("verify.checkpoint-ahead", {{"size", std::to_string(size)}, {"found", std::to_string(events)}}));
  }
  if (trusted_ > events)
    problem(events + 1, say("verify.shorter", {{"size", std::to_string(trusted_)}, {"found", std::to_string(events)}}));
  const auto told = [&](const Result<void>& done) -> Result<void> {
    if (done.ok() || done.error().code() != ErrorCode::corrupt) return done;
    found_.problems.push_back({std::nullopt, say("verify.unreadable", {{"why", done.error().sentence()}})});
    return {};
  };
  TRY(told(check_trusted_signatures()));
  TRY(told(check_latest()));
  keys_.finish();
  TRY(told(check_file(ledger_, depth_, [this](std::optional<std::int64_t> seq, std::string what) {
    found_.problems.push_back({seq, std::move(what)});
  })));
  TRY(told(beside_.finish(depth_, entries_hold ? EntriesHold::yes : EntriesHold::no)));
  found_.head = previous_;
  found_.root = frontier_.root();
  found_.signed_before = std::min(trusted_, events);
  std::stable_sort(found_.problems.begin(), found_.problems.end(), [](const Problem& a, const Problem& b) {
    constexpr auto last = std::numeric_limits<std::int64_t>::max();
    return a.seq.value_or(last) < b.seq.value_or(last);
  });
  return {};
}

}  // namespace

namespace {

// Spares the next run the signatures of this one.
Result<void> mark_verified(Ledger& ledger, const Verification& found, const Digest& state) {
  store::LedgerFile::Marked marked{.size = found.events, .hash = state, .mark = {}};
  marked.mark = verified_mark(*ledger.keys(), marked);
  TRY_LET(auto transaction, store::Transaction::begin(ledger.file().database()));
  TRY(ledger.file().put_verified(marked));
  return transaction.commit();
}

}  // namespace

Result<Verification> verify(Ledger& ledger, Depth depth) {
  Verification found;
  Walk walk(ledger, depth, found);
  TRY(walk.run());
  if (found.problems.empty() && ledger.writable() && found.events > 0) {
    const auto marked = mark_verified(ledger, found, walk.state());
    // A full disk, a folder that may not be written or a busy writer take nothing from what was found: the next run
    // only does more.
    const bool only_slower =
        marked.ok() || marked.error().code() == ErrorCode::unavailable || marked.error().code() == ErrorCode::denied;
    if (!only_slower) return marked.error();
  }
  return found;
}

}  // namespace trayproof
