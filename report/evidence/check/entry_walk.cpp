#include "report/evidence/check/entry_walk.h"

#include <algorithm>

#include "ledger/base/check.h"
#include "ledger/base/limits.h"
#include "ledger/crypto/sign.h"
#include "ledger/log/chain.h"
#include "ledger/words/words.h"

namespace trayproof::evidence {
namespace {

using json::Value;

bool is_signed(const std::string& key, std::string_view text, std::string_view signature_hex) {
  crypto::PublicKey public_key{};
  const auto signature = from_hex(signature_hex);
  return from_hex(key, public_key) && signature && crypto::check_signature(public_key, as_bytes(text), *signature);
}

// In hex, without a string: two are compared for every entry.
class Spelt {
 public:
  explicit Spelt(const Digest& digest) : digits_(hex_of(digest)) {}
  bool operator==(std::string_view other) const { return other == std::string_view(digits_.data(), digits_.size()); }

 private:
  std::array<char, 64> digits_;
};

// Of what `learn` learns from, beside the first entry.
bool teaches(std::string_view kind) {
  return kind == "key-added" || kind == "key-retired" || kind == "ledger-restored";
}

}  // namespace

Value Entry::event() const {
  auto parsed = json::parse(bytes);
  CHECK(parsed.ok());  // the walk read it
  return std::move(parsed).value();
}

void EntryWalk::problem(std::int64_t seq, std::string what) {
  problems_.add(member_, say("evidence.at-seq", {{"seq", std::to_string(seq)}, {"what", what}}), seq);
}

template <typename Object>
void EntryWalk::look_at(const Object& event) {
  said_ = {.v = event.number_at("v"),
           .seq = event.number_at("seq"),
           .signs = event.number_at("signs"),
           .key = event.text_at("key"),
           .prev = event.text_at("prev")};
  entry_.kind = event.text_at("kind").value_or("");
  const auto recorded = parse_date_time(event.text_at("recorded").value_or(""));
  entry_.recorded = recorded ? std::optional(recorded->instant) : std::nullopt;
}

// Whether the line is an entry; its place, key and signature are not looked at yet.
bool EntryWalk::read(std::string_view line) {
  if (!read_entry_line(line, row_) || row_.entry.size() > limits::entry_bytes) return false;
  std::swap(entry_.bytes, row_.entry);
  event_.reset();
  bool canonical = plain_.read(entry_.bytes);
  if (canonical) {
    look_at(plain_);
  } else {
    auto parsed = json::parse(entry_.bytes);
    if (!parsed.ok()) return false;
    event_ = std::move(parsed).value();
    look_at(*event_);
    canonical_.clear();
    json::append_canonical(canonical_, *event_);
    canonical = canonical_ == entry_.bytes;
  }
  auto signature = from_hex(row_.sig);
  if (!said_.seq || *said_.seq < 1 || !signature) return false;
  entry_.seq = static_cast<std::int64_t>(*said_.seq);
  entry_.hash = log::leaf_hash(entry_.bytes);
  entry_.sig = std::move(*signature);
  if (Spelt(entry_.hash) != row_.hash) problem(entry_.seq, say("verify.hash"));
  if (said_.key != row_.key) problem(entry_.seq, say("evidence.other-key"));
  if (!canonical) problem(entry_.seq, say("verify.not-canonical"));
  return true;
}

const Entry* EntryWalk::take(std::string_view line) {
  const bool is_entry = read(line);
  ++entries_;
  if (!is_entry) {
    problems_.add(member_, say("evidence.no-entry", {{"line", std::to_string(entries_)}}));
    return nullptr;
  }
  if (said_.v != 1.0) problem(entry_.seq, say("verify.version"));
  check_place();
  check_key();
  check_signature();
  // No signature reaches back to those any more: the lowest first.
  while (!line_.empty() && (line_.front().first < entry_.seq - limits::signed_events_max ||
                            line_.size() > static_cast<std::size_t>(limits::signed_events_max) + 1))
    report_next_unsigned();
  if (entry_.seq == 1 || teaches(entry_.kind)) learn(entry_.seq, event_ ? *event_ : entry_.event());
  last_ = entry_.seq;
  last_hash_ = entry_.hash;
  return &entry_;
}

void EntryWalk::check_place() {
  const std::int64_t seq = entry_.seq;
  if (seq <= last_) return problem(seq, say("evidence.order"));
  if (extent_ == Extent::whole && seq != last_ + 1)
    return problem(last_ + 1, say("verify.missing", {{"found", std::to_string(seq)}}));
  // Between entries that do not follow each other nothing is known but their places in the tree.
  if (seq == last_ + 1 && Spelt(last_hash_) != said_.prev.value_or("")) problem(seq, say("verify.prev"));
}

// Seq 1 and 2 come before their own key is known.
void EntryWalk::check_key() {
  if (entry_.seq <= 2) return;
  const auto known = keys_.find(row_.key);
  if (known == keys_.end()) return problem(entry_.seq, say("verify.key-unknown"));
  if (extent_ == Extent::some && entry_.recorded) recorded_[row_.key].push_back({entry_.seq, *entry_.recorded});
  if (known->second.sort == "ledger") return problem(entry_.seq, say("verify.key-ledger"));
  if (known->second.retired)
    problem(entry_.seq, say("verify.key-retired", {{"seq", std::to_string(*known->second.retired)}}));
}

void EntryWalk::check_signature() {
  if (entry_.sig.empty()) return wait_for_signature(entry_.seq, row_.key);
  crypto::PublicKey public_key{};
  ++signatures_;
  if (!from_hex(row_.key, public_key) || !crypto::check_signature(public_key, entry_.hash, entry_.sig))
    return problem(entry_.seq, say("verify.signature"));
  const auto there = unsigned_.find(row_.key);
  if (there == unsigned_.end()) return;
  const auto from = std::min(said_.signs ? static_cast<std::int64_t>(*said_.signs) : entry_.seq, entry_.seq);
  auto& seqs = there->second.seqs;
  seqs.erase(std::lower_bound(seqs.begin(), seqs.end(), std::max(from, entry_.seq - limits::signed_events_max)),
             seqs.end());
}

void EntryWalk::wait_for_signature(std::int64_t seq, const std::string& key) {
  const auto waiting = unsigned_.try_emplace(key).first;
  waiting->second.seqs.push_back(seq);
  ++waiting->second.in_line;
  line_.emplace_back(seq, waiting);
}

void EntryWalk::report_next_unsigned() {
  const auto [seq, waiting] = line_.front();
  line_.pop_front();
  auto& seqs = waiting->second.seqs;
  if (!seqs.empty() && seqs.front() == seq) {
    seqs.pop_front();
    problem(seq, say("verify.unsigned"));
  }
  if (--waiting->second.in_line == 0) unsigned_.erase(waiting);
}

void EntryWalk::learn(std::int64_t seq, const Value& event) {
  const auto kind = event.text_at("kind").value_or("");
  if (seq == 1) {
    if (kind != "ledger-opened") return problem(1, say("evidence.not-opened"));
    ledger_ = event.text_at("ledger").value_or("");
    origin_ = event.text_at("origin").value_or("");
    ledger_key_ = event.text_at("ledger_key").value_or("");
    if (!is_hex(ledger_, 16) || origin_ != "trayproof/" + ledger_) problem(1, say("evidence.not-opened"));
  }
  if (kind == "key-added") learn_key(seq, event);
  if (kind == "ledger-restored") learn_loss(seq, event);
  if (kind == "key-retired") {
    const auto known = keys_.find(std::string(event.text_at("public").value_or("")));
    if (known != keys_.end()) known->second.retired = seq;
    learn_theft(seq, event);
  }
}

void EntryWalk::learn_theft(std::int64_t seq, const Value& event) {
  const auto known = keys_.find(std::string(event.text_at("public").value_or("")));
  if (known == keys_.end() || event.text_at("cause") != "stolen") return;
  const std::string text(event.text_at("since").value_or(""));
  const auto since = parse_date_time(text);
  known->second.theft = Theft{.told = seq, .since = since ? since->instant : Instant{}, .since_text = text};
}

std::vector<Suspect> EntryWalk::suspects() const {
  std::vector<Suspect> out;
  for (const auto& [key, known] : keys_) {
    const auto recorded = recorded_.find(key);
    if (!known.theft || recorded == recorded_.end()) continue;
    Suspect one{.theft = *known.theft, .owner = known.owner, .seqs = {}};
    for (const Recorded& entry : recorded->second) {
      if (entry.at >= known.theft->since) one.seqs.push_back(entry.seq);
    }
    if (!one.seqs.empty()) out.push_back(std::move(one));
  }
  return out;
}

void EntryWalk::learn_loss(std::int64_t seq, const Value& event) {
  const Value* lost = event.find("lost_after");
  const auto size = lost == nullptr ? std::nullopt : lost->number_at("size");
  const auto restored = event.number_at("size");
  DeclaredLoss loss;
  if (!size || *size < 0 || !restored || *restored < 0 || !from_hex(lost->text_at("root").value_or(""), loss.lost.root))
    return;
  loss.seq = seq;
  loss.lost.size = static_cast<std::uint64_t>(*size);
  loss.restored_size = static_cast<std::uint64_t>(*restored);
  losses_.push_back(loss);
}

void EntryWalk::learn_key(std::int64_t seq, const Value& event) {
  const std::string key(event.text_at("public").value_or(""));
  KnownKey known{.owner = std::string(event.text_at("owner").value_or("")),
                 .sort = std::string(event.text_at("sort").value_or("")),
                 .added = seq,
                 .retired = {},
                 .theft = {},
                 .cosigned = std::string(event.text_at("cosigned").value_or("")),
                 .proved = {}};
  known.proved = "trayproof/key-added/1\n" + ledger_ + "\n" + known.owner + "\n" + known.sort + "\n" + key + "\n";
  if (!is_signed(key, known.proved, event.text_at("proof").value_or(""))) problem(seq, say("verify.key-proof"));
  if (known.sort == "ledger") {
    std::size_t earlier = 0;
    bool cosigned = false;
    for (const auto& [other, one] : keys_) {
      if (one.sort != "ledger") continue;
      ++earlier;
      cosigned = cosigned || is_signed(other, known.proved, known.cosigned);
    }
    if (earlier == 0 && key != ledger_key_) problem(seq, say("evidence.other-ledger-key"));
    if (earlier > 0 && !cosigned) problem(seq, say("verify.key-not-cosigned"));
  }
  keys_.try_emplace(key, std::move(known));
}

void EntryWalk::finish() {
  if (ledger_.empty()) problems_.add(member_, say("evidence.not-opened"));
  while (!line_.empty()) report_next_unsigned();
}

}  // namespace trayproof::evidence
