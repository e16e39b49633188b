// Checking a batch as a whole and writing it; batch.cpp reads and prepares.
#include <algorithm>
#include <set>

#include "ledger/base/limits.h"
#include "ledger/batch.h"
#include "ledger/log/chain.h"
#include "ledger/words/words.h"

namespace trayproof {

using json::Value;

// The seq that a prepared event gets when everything before it is taken.
std::int64_t Batch::provisional_seq(std::size_t prepared) const {
  return first_head_ + (clock_was_ ? 1 : 0) + static_cast<std::int64_t>(prepared) + 1;
}

// `of` must name an earlier event that can be corrected, and kept stand-ins must stand in its family.
Result<void> Batch::check_correction(std::size_t index, Holdings& holdings) {
  let_writer_rest();
  Prepared& prepared = prepared_[index];
  const auto no = [&](std::string_view field, std::string why) -> Result<void> {
    refuse({prepared.line, std::string(field), std::move(why)});
    prepared.refused = true;
    return {};
  };
  const std::int64_t first_own = provisional_seq(0);
  const auto own = [&](std::int64_t seq) -> const Prepared* {
    return seq >= first_own && seq < provisional_seq(index) ? &prepared_[static_cast<std::size_t>(seq - first_own)]
                                                            : nullptr;
  };
  std::int64_t origin = *prepared.of;
  if (origin > first_head_ && own(origin) == nullptr)
    return no("of", say("refused.of", {{"found", std::to_string(origin)}}));
  if (const Prepared* named = own(origin)) {
    if (named->refused) return no("of", say("refused.of", {{"found", std::to_string(origin)}}));
    if (named->of) origin = *named->of;  // rewritten to its family's origin when it was checked
  }
  if (own(origin) == nullptr) {
    TRY_LET(const auto family, writer_->file.origin_of(origin));
    if (family) origin = *family;
  }
  std::vector<std::string> family_bytes;
  std::string kind;
  if (const Prepared* named = own(origin)) {
    kind = named->kind->name;
    family_bytes.push_back(named->rendered.members);
  } else {
    TRY_LET(const auto entry, writer_->file.entry(origin));
    TRY_LET(const auto event, json::parse(entry.bytes));
    kind = event.text_at("kind").value_or("");
    family_bytes.push_back(entry.bytes);
    TRY_LET(const auto corrections, writer_->file.corrections_of(origin));
    for (const std::int64_t seq : corrections) {
      TRY_LET(auto correction, writer_->file.entry(seq));
      family_bytes.push_back(std::move(correction.bytes));
    }
  }
  const events::Kind* known = events::find_kind(kind);
  if (known == nullptr || !known->correctable()) {
    return no("of", say("refused.of-kind", {{"found", std::to_string(*prepared.of)}, {"kind", kind}}));
  }
  for (std::size_t i = 0; i < index; ++i) {
    if (prepared_[i].of == origin && !prepared_[i].refused) family_bytes.push_back(prepared_[i].rendered.members);
  }
  for (const std::string& kept : prepared.kept) {
    const bool stands = std::any_of(family_bytes.begin(), family_bytes.end(), [&](const std::string& bytes) {
      return bytes.find("\"" + kept + "\"") != std::string::npos;
    });
    if (!stands) return no("replacement", say("refused.stand-in"));
  }
  prepared.of = origin;
  return holdings.release(origin);
}

// The event brings those of the patients that it names, where what brought them was left out.
void Batch::adopt_orphans(Prepared& event) {
  if (orphans_.empty()) return;
  for (const crypto::Token& pseudonym : event.pseudonyms) {
    const auto there = orphans_.find(pseudonym);
    if (there == orphans_.end()) continue;
    event.fresh.push_back(std::move(there->second));
    orphans_.erase(there);
  }
}

void Batch::orphan(Prepared& event) {
  for (FreshPatient& one : event.fresh) orphans_.emplace(one.pseudonym, std::move(one));
  event.fresh.clear();
}

// What was written ahead is taken back: some of it is refused, and seqs move.
Result<void> Batch::undo_ahead() {
  if (!entry_writer_) return {};
  entry_writer_.reset();
  writer_->file.database().roll_back();
  TRY(writer_->file.begin_again());
  ahead_ = false;
  return {};
}

Result<void> Batch::check_whole() {
  Holdings holdings =
      holdings_ ? std::move(*holdings_) : Holdings(writer_->file, first_head_, [this] { let_writer_rest(); });
  holdings_.reset();
  // Corrections first: they free ids for other lines, whatever the order of the lines.
  std::map<std::int64_t, std::size_t> last_of_family;
  for (std::size_t i = 0; i < prepared_.size(); ++i) {
    if (!prepared_[i].of) continue;
    TRY(check_correction(i, holdings));
    if (!prepared_[i].refused) last_of_family[*prepared_[i].of] = i;
  }
  const std::int64_t first_own = provisional_seq(0);
  const auto claim = [&](Prepared& prepared, std::int64_t origin) -> Result<void> {
    for (const Introduction& one : prepared.introduces) {
      TRY_LET(const auto holder, holdings.claim(one, origin, prepared.line));
      if (!holder) continue;
      const std::string field = (prepared.of ? "replacement." : "") + std::string(one.field);
      const std::string found = "\"" + one.id + "\"";
      const bool in_file = holder->line != 0 && prepared.line != 0;
      refuse({prepared.line, field,
              in_file ? say("refused.already-in-file", {{"found", found}, {"line", std::to_string(holder->line)}})
                      : say("refused.already-there", {{"found", found}, {"seq", std::to_string(holder->origin)}})});
      prepared.refused = true;
    }
    return {};
  };
  for (std::size_t i = 0; i < prepared_.size(); ++i) {
    Prepared& prepared = prepared_[i];
    const std::int64_t seq = provisional_seq(i);
    if (prepared.of || last_of_family.contains(seq)) continue;  // corrections, and originals corrected in this batch
    TRY(claim(prepared, seq));
  }
  for (const auto& [origin, last] : last_of_family) TRY(claim(prepared_[last], origin));
  for (Prepared& prepared : prepared_) {
    for (const Soak& soak : prepared.soaks) {
      TRY_LET(const auto holder, holdings.holder("solution", soak.solution));
      if (!holder || holder->detail.empty() || holder->detail == "decontamination") continue;
      refuse({prepared.line, soak.field,
              say("refused.soak-is-load", {{"found", "\"" + soak.solution + "\""}, {"use", holder->detail}})});
      prepared.refused = true;
    }
  }
  const bool any_refused =
      std::any_of(prepared_.begin(), prepared_.end(), [](const Prepared& one) { return one.refused; });
  if (!any_refused)
    return refusals_.empty() || options_.on_refusal == OnRefusal::keep_good ? holdings.store() : Result<void>();
  if (options_.on_refusal == OnRefusal::take_nothing) return {};
  TRY(undo_ahead());
  // Some are left out: what stays is checked again by itself, since seqs and ids have moved.
  for (Outcome& outcome : outcomes_) {
    if (!outcome.repeats_prepared || !prepared_[*outcome.repeats_prepared].refused) continue;
    const std::int64_t same = prepared_[*outcome.repeats_prepared].line;
    refuse({outcome.line, "", say("refused.same-as-line", {{"line", std::to_string(same)}})});
    outcome.repeats_prepared.reset();
  }
  std::vector<std::size_t> moved(prepared_.size());
  std::deque<Prepared> kept;
  for (std::size_t i = 0; i < prepared_.size(); ++i) {
    moved[i] = kept.size();
    Prepared& one = prepared_[i];
    // A correction of an event of the same batch names a seq that is no longer sure.
    if (!one.refused && one.of && *one.of >= first_own) {
      refuse({one.line, "of", say("refused.of", {{"found", std::to_string(*one.of)}})});
      one.refused = true;
    }
    if (one.refused) {
      outcomes_[one.given].prepared.reset();
      orphan(one);
    } else {
      adopt_orphans(one);
      kept.push_back(std::move(one));
    }
  }
  for (Outcome& outcome : outcomes_) {
    if (outcome.prepared) outcome.prepared = moved[*outcome.prepared];
    if (outcome.repeats_prepared) outcome.repeats_prepared = moved[*outcome.repeats_prepared];
  }
  prepared_ = std::move(kept);
  return check_whole();
}

Result<void> Batch::note_clock() {
  Value note = Value::object();
  const Instant now = writer_->clock.now();
  note.set("kind", "clock-noted").set("at", format_date_time({now, 0})).set("by", writer_->station);
  note.set("was", format_date_time({*clock_was_, 0})).set("now", format_date_time({now, 0}));
  auto reading = events::read_draft(std::move(note), events::Giver::program);
  CHECK(reading.draft.has_value());
  std::deque<Prepared> given = std::move(prepared_);
  std::vector<Outcome> outcomes = std::move(outcomes_);
  prepared_.clear();
  outcomes_.clear();
  const crypto::Token content = content_digest(reading.draft->event);
  TRY(prepare(std::move(*reading.draft), std::nullopt, content, 0));
  note_ = std::make_unique<Prepared>(std::move(prepared_.front()));
  prepared_ = std::move(given);
  outcomes_ = std::move(outcomes);
  // The station's, whoever is signed in. Where the station signs what follows, that signature covers it.
  note_->key = 0;
  const auto next = std::find_if(prepared_.begin(), prepared_.end(), [](const Prepared& one) { return one.key == 0; });
  const bool alone = next == prepared_.end() || next - prepared_.begin() + 1 >= limits::signed_events_max;
  return put(*note_, alone);
}

Result<void> Batch::put(const Prepared& prepared, bool signs_here) {
  Key& key = keys_[prepared.key];
  if (key.unsigned_from == 0) key.unsigned_from = next_seq_;
  Signing signing{.public_key = &key.public_key, .key = nullptr, .from = key.unsigned_from};
  if (signs_here) {
    signing.key = key.signer ? &key.signer->key : &writer_->keys.station_key;
    key.unsigned_from = 0;
  }
  ++next_seq_;
  return entry_writer_->put(prepared, signing);
}

Result<void> Batch::begin_writing(EntryWriter::Thread thread) {
  EntryMaker maker(writer_->station, writer_->clock, head_);
  entry_writer_ = std::make_unique<EntryWriter>(writer_->file, writer_->keys, std::move(maker), thread);
  written_ = 0;
  next_seq_ = head_.seq + 1;
  for (Key& key : keys_) key.unsigned_from = 0;
  return clock_was_ ? note_clock() : Result<void>();
}

bool Batch::signs_here() const {
  const Prepared& here = prepared_[written_];
  if (here.kind->name == "countersigned") return true;  // always carries its own
  const std::int64_t from = keys_[here.key].unsigned_from == 0 ? next_seq_ : keys_[here.key].unsigned_from;
  const auto reach = static_cast<std::size_t>(from + limits::signed_events_max - next_seq_);
  for (std::size_t i = written_ + 1; i < prepared_.size() && i - written_ < reach; ++i) {
    if (prepared_[i].key == here.key) return false;
  }
  return true;
}

Result<void> Batch::write_next() {
  const bool signs = signs_here();
  return put(prepared_[written_++], signs);
}

Result<void> Batch::write_ahead(std::size_t many) {
  // Whatever would have to be asked of the file would have to wait for the writer, each time.
  const bool asks = options_.same_content_repeats && !ledger_contents_;
  if (!ahead_ || prepared_.size() < many || asks) return {};
  if (!refusals_.empty()) {
    ahead_ = false;
    return {};
  }
  if (!entry_writer_) {
    if (ledger_contents_) {
      // A large file; its ids are read before the writer has the ledger for itself.
      holdings_.emplace(writer_->file, first_head_, [this] { let_writer_rest(); });
      TRY(holdings_->know_all(prepared_.size()));
    }
    TRY(begin_writing(EntryWriter::Thread::own));
  }
  // The last one waits: should it be the last of all, it carries the signature.
  while (written_ + 1 < prepared_.size()) TRY(write_next());
  return {};
}

Result<void> Batch::write(Appended& report) {
  if (!prepared_.empty()) {
    if (!entry_writer_) TRY(begin_writing(EntryWriter::Thread::none));
    while (written_ < prepared_.size()) TRY(write_next());
    TRY(entry_writer_->finish());
    head_ = entry_writer_->head();
  }
  for (std::size_t i = 0; i < prepared_.size(); ++i) {
    if (prepared_[i].of) TRY(writer_->file.put_correction(provisional_seq(i), *prepared_[i].of));
  }
  if (!prepared_.empty()) {
    const store::LedgerFile::Marked latest{
        .size = head_.seq, .hash = head_.hash, .mark = latest_mark(writer_->keys, head_.seq, head_.hash)};
    TRY(writer_->file.put_latest(latest));
  }
  report = part(0, outcomes_.size());
  return {};
}

Appended Batch::part(std::size_t first, std::size_t last) const {
  Appended report;
  for (std::size_t i = first; i < last; ++i) {
    const Outcome& outcome = outcomes_[i];
    std::int64_t seq = 0;
    if (outcome.prepared) seq = provisional_seq(*outcome.prepared);
    if (outcome.repeats_seq) seq = *outcome.repeats_seq;
    if (outcome.repeats_prepared) seq = provisional_seq(*outcome.repeats_prepared);
    if (outcome.prepared) ++report.taken;
    if (outcome.repeats_seq || outcome.repeats_prepared) ++report.repeated;
    report.seqs.push_back(seq);
  }
  for (std::size_t i = first; i < last; ++i) {
    const std::int64_t seq = report.seqs[i - first];
    if (seq == 0 || (report.taken > 0 && !outcomes_[i].prepared)) continue;  // of repeats only where nothing was taken
    report.first = report.first == 0 ? seq : std::min(report.first, seq);
    report.last = std::max(report.last, seq);
  }
  return report;
}

// A key that was retired meanwhile, by this program or another, signs nothing any more; nor does one that the record
// never added, of a key file that belongs to another time of it.
Result<void> Batch::check_keys() {
  let_writer_rest();
  if (first_head_ == 0) return {};
  TRY_LET(const auto retired, writer_->file.landmarks("key-retired"));
  if (retired.empty() && keys_.size() == 1 && writer_->station_key_in_force) return {};
  TRY_LET(const auto book, people::KeyBook::read(writer_->file));
  for (std::size_t i = 0; i < keys_.size(); ++i) {
    const bool signs =
        std::any_of(prepared_.begin(), prepared_.end(), [&](const Prepared& one) { return one.key == i; });
    const people::KnownKey* known = book.find(keys_[i].public_key);
    if (!signs || (known != nullptr && !known->retired)) continue;
    const std::string owner = keys_[i].signer ? keys_[i].signer->person : writer_->station;
    return Error(ErrorCode::denied, say("people.key-not-in-force", {{"owner", owner}}));
  }
  return {};
}

Result<Appended> Batch::finish() {
  TRY(check_keys());
  TRY(check_whole());
  let_writer_rest();
  Appended report;
  std::stable_sort(refusals_.begin(), refusals_.end(),
                   [](const events::Refusal& a, const events::Refusal& b) { return a.line < b.line; });
  report.refusals = std::move(refusals_);
  // A number may stand where none belongs: as a field's name, a kind, an id.
  for (events::Refusal& refusal : report.refusals) {
    refusal.field = numbers().masked(std::move(refusal.field));
    refusal.why = numbers().masked(std::move(refusal.why));
  }
  if (!report.refusals.empty() && options_.on_refusal == OnRefusal::take_nothing) {
    report.seqs.assign(outcomes_.size(), 0);
    return report;
  }
  events::Refusals refusals = std::move(report.refusals);
  TRY(write(report));
  report.refusals = std::move(refusals);
  return report;
}

Digest latest_mark(const people::KeyFile& keys, std::int64_t size, const Digest& hash) {
  const std::string text = "latest " + std::to_string(size) + " " + hex(hash);
  return crypto::keyed_mark(keys.mark_secret, as_bytes(text));
}

}  // namespace trayproof
