#include "report/evidence/check/entry_walk.h"

#include <algorithm>

#include "ledger/base/limits.h"
#include "ledger/crypto/sign.h"
#include "ledger/log/chain.h"
#include "ledger/words/words.h"
#include "report/evidence/check/entry_line.h"

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

}  // namespace

void EntryWalk::problem(std::int64_t seq, std::string what) {
  problems_.add(member_, say("evidence.at-seq", {{"seq", std::to_string(seq)}, {"what", what}}), seq);
}

std::optional<Entry> EntryWalk::read(std::string_view line, std::string& key) {
  auto row = read_entry_line(line);
  if (!row) {
    problems_.add(member_, say("evidence.no-entry", {{"line", std::to_string(entries_ + 1)}}));
    return std::nullopt;
  }
  key = std::move(row->key);
  std::string bytes = std::move(row->entry);
  auto event = bytes.size() <= limits::entry_bytes ? json::parse(bytes)
                                                   : Error(ErrorCode::invalid, say("evidence.line-too-long"));
  auto signature = from_hex(row->sig);
  const auto seq = event.ok() ? event.value().number_at("seq") : std::nullopt;
  if (!event.ok() || !seq || *seq < 1 || !signature) {
    problems_.add(member_, say("evidence.no-entry", {{"line", std::to_string(entries_ + 1)}}));
    return std::nullopt;
  }
  Entry entry{.seq = static_cast<std::int64_t>(*seq),
              .hash = log::leaf_hash(bytes),
              .event = std::move(event).value(),
              .bytes = std::move(bytes),
              .sig = std::move(*signature)};
  if (Spelt(entry.hash) != row->hash) problem(entry.seq, say("verify.hash"));
  if (entry.event.text_at("key") != key) problem(entry.seq, say("evidence.other-key"));
  return entry;
}

std::optional<Entry> EntryWalk::take(std::string_view line) {
  std::string key;
  auto entry = read(line, key);
  ++entries_;
  if (!entry) return entry;
  canonical_.clear();
  json::append_canonical(canonical_, entry->event);
  if (canonical_ != entry->bytes) problem(entry->seq, say("verify.not-canonical"));
  if (entry->event.number_at("v") != 1.0) problem(entry->seq, say("verify.version"));
  check_place(*entry);
  check_key(*entry, key);
  check_signature(*entry, key);
  // No signature reaches back to those any more: the lowest first.
  while (!line_.empty() && (line_.front().first < entry->seq - limits::signed_events_max ||
                            line_.size() > static_cast<std::size_t>(limits::signed_events_max) + 1))
    report_next_unsigned();
  learn(*entry);
  last_ = entry->seq;
  last_hash_ = entry->hash;
  return entry;
}

void EntryWalk::check_place(const Entry& entry) {
  if (entry.seq <= last_) return problem(entry.seq, say("evidence.order"));
  if (extent_ == Extent::whole && entry.seq != last_ + 1)
    return problem(last_ + 1, say("verify.missing", {{"found", std::to_string(entry.seq)}}));
  // Between entries that do not follow each other nothing is known but their places in the tree.
  if (entry.seq == last_ + 1 && Spelt(last_hash_) != entry.event.text_at("prev").value_or(""))
    problem(entry.seq, say("verify.prev"));
}

// Seq 1 and 2 come before their own key is known.
void EntryWalk::check_key(const Entry& entry, const std::string& key) {
  if (entry.seq <= 2) return;
  const auto known = keys_.find(key);
  if (known == keys_.end()) return problem(entry.seq, say("verify.key-unknown"));
  const auto recorded = parse_date_time(entry.event.text_at("recorded").value_or(""));
  if (extent_ == Extent::some && recorded) recorded_[key].push_back({entry.seq, recorded->instant});
  if (known->second.sort == "ledger") return problem(entry.seq, say("verify.key-ledger"));
  if (known->second.retired)
    problem(entry.seq, say("verify.key-retired", {{"seq", std::to_string(*known->second.retired)}}));
}

void EntryWalk::check_signature(const Entry& entry, const std::string& key) {
  if (entry.sig.empty()) return wait_for_signature(entry.seq, key);
  crypto::PublicKey public_key{};
  ++signatures_;
  if (!from_hex(key, public_key) || !crypto::check_signature(public_key, entry.hash, entry.sig))
    return problem(entry.seq, say("verify.signature"));
  const auto there = unsigned_.find(key);
  if (there == unsigned_.end()) return;
  const auto signs = entry.event.number_at("signs");
  const auto from = std::min(signs ? static_cast<std::int64_t>(*signs) : entry.seq, entry.seq);
  auto& seqs = there->second.seqs;
  seqs.erase(std::lower_bound(seqs.begin(), seqs.end(), std::max(from, entry.seq - limits::signed_events_max)),
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

void EntryWalk::learn(const Entry& entry) {
  const auto kind = entry.event.text_at("kind").value_or("");
  if (entry.seq == 1) {
    if (kind != "ledger-opened") return problem(1, say("evidence.not-opened"));
    ledger_ = entry.event.text_at("ledger").value_or("");
    origin_ = entry.event.text_at("origin").value_or("");
    ledger_key_ = entry.event.text_at("ledger_key").value_or("");
    if (!is_hex(ledger_, 16) || origin_ != "trayproof/" + ledger_) problem(1, say("evidence.not-opened"));
  }
  if (kind == "key-added") learn_key(entry);
  if (kind == "ledger-restored") learn_loss(entry);
  if (kind == "key-retired") {
    const auto known = keys_.find(std::string(entry.event.text_at("public").value_or("")));
    if (known != keys_.end()) known->second.retired = entry.seq;
    learn_theft(entry);
  }
}

void EntryWalk::learn_theft(const Entry& entry) {
  const auto known = keys_.find(std::string(entry.event.text_at("public").value_or("")));
  if (known == keys_.end() || entry.event.text_at("cause") != "stolen") return;
  const std::string text(entry.event.text_at("since").value_or(""));
  const auto since = parse_date_time(text);
  known->second.theft = Theft{.told = entry.seq, .since = since ? since->instant : Instant{}, .since_text = text};
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

void EntryWalk::learn_loss(const Entry& entry) {
  const Value* lost = entry.event.find("lost_after");
  const auto size = lost == nullptr ? std::nullopt : lost->number_at("size");
  const auto restored = entry.event.number_at("size");
  DeclaredLoss loss;
  if (!size || *size < 0 || !restored || *restored < 0 || !from_hex(lost->text_at("root").value_or(""), loss.lost.root))
    return;
  loss.seq = entry.seq;
  loss.lost.size = static_cast<std::uint64_t>(*size);
  loss.restored_size = static_cast<std::uint64_t>(*restored);
  losses_.push_back(loss);
}

void EntryWalk::learn_key(const Entry& entry) {
  const std::string key(entry.event.text_at("public").value_or(""));
  KnownKey known{.owner = std::string(entry.event.text_at("owner").value_or("")),
                 .sort = std::string(entry.event.text_at("sort").value_or("")),
                 .added = entry.seq,
                 .retired = {},
                 .theft = {},
                 .cosigned = std::string(entry.event.text_at("cosigned").value_or("")),
                 .proved = {}};
  known.proved = "trayproof/key-added/1\n" + ledger_ + "\n" + known.owner + "\n" + known.sort + "\n" + key + "\n";
  if (!is_signed(key, known.proved, entry.event.text_at("proof").value_or("")))
    problem(entry.seq, say("verify.key-proof"));
  if (known.sort == "ledger") {
    std::size_t earlier = 0;
    bool cosigned = false;
    for (const auto& [other, one] : keys_) {
      if (one.sort != "ledger") continue;
      ++earlier;
      cosigned = cosigned || is_signed(other, known.proved, known.cosigned);
    }
    if (earlier == 0 && key != ledger_key_) problem(entry.seq, say("evidence.other-ledger-key"));
    if (earlier > 0 && !cosigned) problem(entry.seq, say("verify.key-not-cosigned"));
  }
  keys_.try_emplace(key, std::move(known));
}

void EntryWalk::finish() {
  if (ledger_.empty()) problems_.add(member_, say("evidence.not-opened"));
  while (!line_.empty()) report_next_unsigned();
}

}  // namespace trayproof::evidence
