// Reading and preparing what was given; batch_write.cpp checks the whole and writes.
#include "ledger/batch.h"

#include <algorithm>
#include <cstdlib>

#include "ledger/base/limits.h"
#include "ledger/crypto/random.h"
#include "ledger/log/chain.h"
#include "ledger/sop/sop.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

using json::Value;

Digest text_stand_in(const store::KeptText& text) { return crypto::sha256({ByteView(text.salt), as_bytes(text.text)}); }

}  // namespace

Batch::Batch(const Writer& writer, const AppendOptions& options) : writer_(&writer) {
  keys_.push_back({.signer = nullptr, .public_key = hex(writer.keys.station_key.public_key())});
  under(options);
}

Result<Batch> Batch::begin(const Writer& writer, const AppendOptions& options) {
  Batch batch(writer, options);
  TRY_LET(batch.head_, writer.file.head());
  batch.first_head_ = batch.head_.seq;
  TRY(batch.check_end());
  TRY(writer.patients.refresh());
  TRY(batch.look_at_clock());
  return batch;
}

// Entries that were taken away from the end would be passed over in silence if the next were written where they stood.
Result<void> Batch::check_end() {
  TRY_LET(const auto latest, writer_->file.latest());
  const std::int64_t kept = latest ? latest->size : 0;
  if (kept == head_.seq && (kept == 0 || latest->hash == head_.hash)) return {};
  return Error(ErrorCode::corrupt,
               say("ledger.end-changed", {{"found", std::to_string(head_.seq)}, {"kept", std::to_string(kept)}}));
}

namespace {

struct ClockNote {
  Instant was;
  Instant now;
};

Result<std::optional<ClockNote>> clock_note(store::LedgerFile& file, std::int64_t seq) {
  TRY_LET(const auto entry, file.entry(seq));
  TRY_LET(const auto event, json::parse(entry.bytes));
  const auto was = parse_date_time(event.text_at("was").value_or(""));
  const auto now = parse_date_time(event.text_at("now").value_or(""));
  if (!was || !now) return std::optional<ClockNote>{};
  return std::optional(ClockNote{was->instant, now->instant});
}

// The latest time at which the clock is believed to have been right; while it shows less, it is known to be wrong.
// After a jump forward that was noted, a step back to where it would have been is the clock being set right.
Result<std::optional<Instant>> known_good_clock(store::LedgerFile& file, std::int64_t allowance_ms) {
  TRY_LET(const auto notes, file.landmarks("clock-noted"));
  if (notes.empty()) return std::optional<Instant>{};
  TRY_LET(const auto last, clock_note(file, notes.back()));
  if (!last) return std::optional<Instant>{};
  if (notes.size() > 1 && last->now < last->was) {
    TRY_LET(const auto before, clock_note(file, notes[notes.size() - 2]));
    const bool was_jump = before && before->was < before->now;
    if (was_jump && last->now.ms >= before->was.ms - allowance_ms) return std::optional(before->was);
  }
  return std::optional(last->was);
}

}  // namespace

Result<void> Batch::look_at_clock() {
  const auto allowance_ms = static_cast<std::int64_t>(writer_->clock_minutes * static_cast<double>(minute_ms));
  TRY_LET(known_good_clock_, known_good_clock(writer_->file, allowance_ms));
  if (head_.seq == 0) return {};
  TRY_LET(const auto entry, writer_->file.entry(head_.seq));
  TRY_LET(const auto event, json::parse(entry.bytes));
  const auto recorded = parse_date_time(event.text_at("recorded").value_or(""));
  if (!recorded) return {};
  last_recorded_ = recorded->instant;
  const Instant now = writer_->clock.now();
  const auto& expected = writer_->expected_clock;
  if (now.ms < recorded->instant.ms - allowance_ms) {
    clock_was_ = recorded->instant;
  } else if (expected && std::abs(now.ms - expected->ms) > allowance_ms) {
    clock_was_ = *expected;
  }
  if (clock_was_ && now < *clock_was_) known_good_clock_ = clock_was_;
  return {};
}

void Batch::under(const AppendOptions& options) {
  options_ = options;
  if (!options_.signer) options_.signer = writer_->signer;
  key_ = key_of(options_.signer);
}

std::size_t Batch::key_of(const std::shared_ptr<const people::Signer>& signer) {
  for (std::size_t i = 0; i < keys_.size(); ++i) {
    // The same person signed in twice is one key.
    const auto& there = keys_[i].signer;
    if (there == signer) return i;
    if (there && signer && there->key.public_key() == signer->key.public_key()) return i;
  }
  keys_.push_back({.signer = signer, .public_key = hex(signer->key.public_key())});
  return keys_.size() - 1;
}

ReadingRules Batch::reading_rules() const {
  std::optional<std::string> by = options_.default_by;
  if (!by && options_.signer != nullptr) by = options_.signer->person;
  return {.giver = options_.giver, .default_by = std::move(by), .numbers = &writer_->patients.numbers};
}

Result<void> Batch::add_given(GivenEvent given) {
  ReadingRules rules = reading_rules();
  if (given.signer != nullptr && !options_.default_by) rules.default_by = given.signer->person;
  key_ = key_of(given.signer != nullptr ? given.signer : options_.signer);
  return add(read_event(given.line, std::move(given.event), rules));
}

void Batch::refuse(events::Refusal refusal) { refusals_.push_back(std::move(refusal)); }

bool Batch::passes_clock(const events::Draft& draft, std::int64_t line) {
  const Instant now = writer_->clock.now();
  if (known_good_clock_ && now < *known_good_clock_) return true;  // the clock is known to be wrong
  const auto allowance = static_cast<std::int64_t>(writer_->clock_minutes * static_cast<double>(minute_ms));
  const auto check = [&](const DateTime& at, Precision precision, const Value& event, const std::string& field) {
    if (span_of(at, precision).earliest.ms <= now.ms + allowance) return true;
    refuse({line, field,
            say("refused.future", {{"found", *event.text_at("at")},
                                   {"now", time_here({now, at.offset_minutes})},
                                   {"allowed", json::plain(Value(writer_->clock_minutes))}})});
    return false;
  };
  if (!check(draft.at, draft.precision, draft.event, "at")) return false;
  if (draft.kind->name != "corrected") return true;
  const Value* replacement = draft.event.find("replacement");
  if (replacement == nullptr || !replacement->is_object()) return true;
  const auto at = parse_date_time(replacement->text_at("at").value_or(""));
  const auto precision =
      parse_precision(replacement->text_at("precision").value_or("second")).value_or(Precision::second);
  return !at || check(*at, precision, *replacement, "replacement.at");
}

bool Batch::passes_sop(const events::Draft& draft, std::int64_t line) {
  if (draft.kind->name != "sop-adopted") return true;
  const auto sop = sop::read(*draft.event.text_at("toml"));
  if (!sop.ok()) refuse({line, "toml", sop.error().sentence()});
  return sop.ok();
}

bool Batch::passes_rights(const events::Draft& draft, std::int64_t line) {
  const Value* effective = effective_of(draft.event);
  const auto kind = effective == nullptr ? std::string_view() : effective->text_at("kind").value_or("");
  std::optional<people::Right> needed;
  if (kind == "sop-adopted") needed = people::Right::adopt_sop;
  if (kind == "sop-confirmed") needed = people::Right::confirm_sop;
  if (!needed || !writer_->may) return true;
  let_writer_rest();
  const auto may = writer_->may(*needed, keys_[key_].signer);
  if (!may.ok()) refuse({line, "kind", may.error().sentence()});
  return may.ok();
}

BesideTheChain Batch::beside(const Prepared* prepared) {
  return {
      .text = [this, prepared](std::string_view stand_in) -> std::optional<std::string> {
        Digest digest;
        if (!from_hex(stand_in, digest)) return std::nullopt;
        if (prepared != nullptr) {
          for (const store::KeptText& text : prepared->texts) {
            if (text.stand_in == digest) return text.text;
          }
        }
        auto kept = writer_->file.text(digest);
        return kept.ok() && kept.value() ? std::optional(kept.value()->text) : std::nullopt;
      },
      .pseudonym = [this](std::string_view number) -> std::optional<std::string> {
        const auto known = writer_->patients.identities.find(number);
        return known ? std::optional(hex(*known)) : std::nullopt;
      },
      .has_number =
          [this, prepared](std::string_view pseudonym) {
            crypto::Token token;
            if (!from_hex(pseudonym, token)) return false;
            if (prepared != nullptr && std::find(prepared->pseudonyms.begin(), prepared->pseudonyms.end(), token) !=
                                           prepared->pseudonyms.end()) {
              return true;
            }
            auto kept = writer_->file.patient_by_pseudonym(token);
            return kept.ok() && kept.value().has_value();
          },
  };
}

Result<bool> Batch::same_as_entry(const events::Draft& draft, std::int64_t seq) {
  TRY_LET(const auto entry, writer_->file.entry(seq));
  TRY_LET(const auto stored, json::parse(entry.bytes));
  return same_content(draft.event, stored, beside(nullptr));
}

bool Batch::same_as_prepared(const events::Draft& draft, const Prepared& prepared) {
  let_writer_rest();
  const auto stored = json::parse("{" + prepared.rendered.members + "}");
  CHECK(stored.ok());
  return same_content(draft.event, stored.value(), beside(&prepared));
}

Result<std::vector<std::int64_t>> Batch::same_digest(const crypto::Token& content) {
  // Reading all pays when they are few against what is asked.
  const std::size_t many = std::max<std::size_t>(1000, static_cast<std::size_t>(first_head_) / 16);
  if (!ledger_contents_ && ++asked_ > many) {
    ledger_contents_.emplace();
    TRY(writer_->file.scan_contents([this](const crypto::Token& one) { ledger_contents_->insert(one); }));
  }
  if (ledger_contents_ && !ledger_contents_->contains(content)) return std::vector<std::int64_t>{};
  let_writer_rest();
  return writer_->file.find_content(content);
}

Result<bool> Batch::settle_repeat(const events::Draft& draft, const crypto::Token& content, std::int64_t line) {
  Outcome outcome{.line = line, .prepared = {}, .repeats_seq = {}, .repeats_prepared = {}};
  if (const auto slip = draft.event.text_at("slip")) {
    let_writer_rest();
    TRY_LET(const auto seq, writer_->file.find_slip(*slip));
    if (seq) {
      TRY_LET(const bool same, same_as_entry(draft, *seq));
      if (same) outcome.repeats_seq = *seq;
      if (!same) refuse({line, "slip", say("refused.slip", {{"found", *slip}, {"seq", std::to_string(*seq)}})});
    } else if (const auto there = slips_.find(std::string(*slip)); there != slips_.end()) {
      const Prepared& earlier = prepared_[there->second];
      if (same_as_prepared(draft, earlier))
        outcome.repeats_prepared = there->second;
      else
        refuse({line, "slip", say("refused.slip-in-file", {{"found", *slip}, {"line", std::to_string(earlier.line)}})});
    } else {
      return false;
    }
    outcomes_.push_back(outcome);
    return true;
  }
  if (!options_.same_content_repeats) return false;
  TRY_LET(const auto candidates, same_digest(content));
  for (const std::int64_t seq : candidates) {
    TRY_LET(const bool same, same_as_entry(draft, seq));
    if (!same) continue;
    outcomes_.push_back({.line = line, .prepared = {}, .repeats_seq = seq, .repeats_prepared = {}});
    return true;
  }
  std::optional<std::size_t> earlier;
  contents_.each(content, [&](std::uint32_t index) {
    if ((!earlier || index < *earlier) && same_as_prepared(draft, prepared_[index])) earlier = index;
  });
  if (earlier) {
    outcomes_.push_back({.line = line, .prepared = {}, .repeats_seq = {}, .repeats_prepared = earlier});
    return true;
  }
  return false;
}

Result<void> Batch::add(ReadEvent read) {
  const std::int64_t line = read.line;
  for (events::Refusal& refusal : read.reading.refusals) refuse(std::move(refusal));
  const auto refused = [&]() -> Result<void> {
    outcomes_.emplace_back();
    return {};
  };
  if (!read.reading.draft) return refused();
  const events::Draft& draft = *read.reading.draft;
  // A repeat is answered before anything else is asked: a number that became known since, or a clock that went back,
  // does not undo what was taken.
  TRY_LET(const bool settled, settle_repeat(draft, read.content, line));
  if (settled) return {};
  const bool fits =
      passes_clock(draft, line) && passes_sop(draft, line) && passes_rights(draft, line) && read.named.empty();
  for (events::Refusal& refusal : read.named) refuse(std::move(refusal));
  if (!fits) return refused();
  return prepare(std::move(*read.reading.draft), std::move(read.rendered), read.content, line);
}

Result<void> Batch::put_number(Value& value, Prepared& prepared) {
  if (const auto kept = value.text_at("pseudonym")) {
    prepared.kept.emplace_back(*kept);
    value = Value(std::string(*kept));
    return {};
  }
  const crypto::Token pseudonym = writer_->patients.identities.pseudonym_for(value.text(), prepared.fresh);
  prepared.pseudonyms.push_back(pseudonym);
  value = Value(hex(pseudonym));
  return {};
}

void Batch::put_text(Value& value, Prepared& prepared) {
  if (const auto kept = value.text_at("sha256")) {
    prepared.kept.emplace_back(*kept);
    return;
  }
  store::KeptText text{.stand_in = {}, .salt = crypto::random_bytes<16>(), .text = value.text()};
  text.stand_in = text_stand_in(text);
  value = Value::object().set("sha256", hex(text.stand_in));
  prepared.texts.push_back(std::move(text));
}

Result<void> Batch::put_stand_ins(Value& value, std::string_view kind, Prepared& prepared) {
  if (value.is_list()) {
    for (Value& item : value.items()) TRY(put_stand_ins(item, "", prepared));
    return {};
  }
  if (!value.is_object()) return {};
  for (json::Member& member : value.members()) {
    if (member.name == "unknown") continue;  // names fields, holds none
    if (events::is_free_text(member.name) || (member.name == "name" && kind == "person-enrolled")) {
      if (member.value.is_text() || member.value.is_object()) put_text(member.value, prepared);
    } else if (member.name == "patient" && !kind.empty()) {
      TRY(put_number(member.value, prepared));
    } else if (member.name == "newborns" && !kind.empty()) {
      for (Value& newborn : member.value.items()) TRY(put_number(newborn, prepared));
    } else if (member.name == "replacement" && kind == "corrected") {
      TRY(put_stand_ins(member.value, member.value.text_at("kind").value_or(""), prepared));
    } else if (member.name == "unknown" && !kind.empty()) {
      continue;  // holds names of fields and one of three words, never a text
    } else {
      TRY(put_stand_ins(member.value, "", prepared));
    }
  }
  return {};
}

Result<void> Batch::prepare(events::Draft draft, std::optional<Rendered> rendered, const crypto::Token& content,
                            std::int64_t line) {
  Prepared prepared;
  prepared.line = line;
  prepared.given = outcomes_.size();
  prepared.kind = draft.kind;
  prepared.key = key_;
  prepared.content = content;
  prepared.slip = draft.event.text_at("slip").value_or("");
  if (draft.kind->name == "corrected") prepared.of = static_cast<std::int64_t>(*draft.event.number_at("of"));
  if (const Value* effective = effective_of(draft.event)) prepared.introduces = introductions_of(*effective);
  prepared.soaks = soaks_of(draft.event);
  if (!rendered) {
    TRY(put_stand_ins(draft.event, draft.kind->name, prepared));
    rendered = render(draft.event);
  }
  prepared.rendered = std::move(*rendered);
  constexpr std::size_t added_bytes_max = 512;  // what the ledger's own members take at most
  if (prepared.rendered.members.size() + added_bytes_max > limits::entry_bytes) {
    refuse({line, "",
            say("refused.entry-long", {{"found", std::to_string(prepared.rendered.members.size())},
                                       {"allowed", std::to_string(limits::entry_bytes - added_bytes_max)}})});
    orphan(prepared);
    outcomes_.emplace_back();
    return {};
  }
  adopt_orphans(prepared);
  const std::size_t index = prepared_.size();
  if (!prepared.slip.empty()) slips_.emplace(prepared.slip, index);
  contents_.add(content, static_cast<std::uint32_t>(index));
  prepared_.push_back(std::move(prepared));
  outcomes_.push_back({.line = line, .prepared = index, .repeats_seq = {}, .repeats_prepared = {}});
  return {};
}

}  // namespace trayproof
