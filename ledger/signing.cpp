// Signing in, countersigning, and what the record says of keys and second persons.
#include <algorithm>

#include "ledger/erasure.h"
#include "ledger/ledger.h"
#include "ledger/unlock.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

using json::Value;

// The sealed key whose public half the ledger knows as this person's and has not retired.
people::SealedKey* in_force(people::KeyFile& file, const people::KeyBook& book, std::string_view person) {
  const auto found = std::find_if(file.persons.begin(), file.persons.end(), [&](const people::SealedKey& one) {
    const people::KnownKey* known = book.find(hex(one.public_key));
    return one.person == person && known != nullptr && known->is_person() && known->owner == person && !known->retired;
  });
  return found == file.persons.end() ? nullptr : &*found;
}

std::string never_word(people::Never never, const people::Seconded& event) {
  switch (never) {
    case people::Never::not_a_person:
      return say("people.never-not-a-person");
    case people::Never::did_it:
      return say("people.never-did-it", {{"person", event.by}});
    case people::Never::entered_it:
      return say("people.never-entered-it");
    case people::Never::another_named:
      return say("people.never-another-named", {{"second", event.second}});
    case people::Never::stolen:
      return say("people.never-stolen");
  }
  return {};
}

}  // namespace

Result<people::KeyBook> Ledger::key_book() const { return people::KeyBook::read(file()); }

Result<people::Roster> Ledger::roster() const {
  TRY_LET(const auto book, key_book());
  return people::Roster::read(file(), book);
}

Result<void> Ledger::may(people::Right right, const std::shared_ptr<const people::Signer>& signer) const {
  const people::RightRow& row = people::row_of(right);
  TRY_LET(const auto known, roster());
  std::vector<std::string> roles;
  if (right == people::Right::release) {
    TRY_LET(const auto all, editions());
    const sop::Edition* edition = all.at(clock().now());
    if (edition != nullptr && edition->sop.release_roles) roles = *edition->sop.release_roles;
  }
  const auto able = known.who_may(right, roles);
  if (signer && known.may(signer->person, right, roles)) return {};
  if (!signer && row.without == people::Without::refused_staffed && able.empty()) return {};
  std::string those = listed(able);
  if (roles.empty()) roles.assign(row.roles.begin(), row.roles.end());
  const std::string role_names = roles.empty() ? say("people.any-role") : listed(roles);
  if (those.empty()) those = say("people.nobody");
  const std::string key = "people.right-" + std::string(row.name);
  const std::string what = say(key);
  return Error(ErrorCode::denied,
               signer ? say("people.no-right",
                            {{"person", signer->person}, {"what", what}, {"roles", role_names}, {"those", those}})
                      : say("people.sign-in-for", {{"what", what}, {"roles", role_names}, {"those", those}}));
}

Result<std::shared_ptr<const people::Signer>> Ledger::unlock(std::string_view person, std::string_view pin) {
  return trayproof::unlock(*this, person, pin, Waits::key_file);
}

Result<std::shared_ptr<const people::Signer>> unlock(const Ledger& ledger, std::string_view person, std::string_view pin,
                                                      Waits waits) {
  const Error no_key(ErrorCode::missing, say("people.no-key", {{"person", person}}));
  if (ledger.keys() == nullptr) return Error(ErrorCode::denied, say("people.no-key-file"));
  TRY_LET(const auto book, ledger.key_book());
  std::optional<crypto::SigningKey> opened;
  std::int64_t wait_s = 0;
  const Instant now = ledger.clock().now();
  const auto attempt = [&](people::SealedKey& sealed, const people::KeyFile& file) -> Result<void> {
    const std::int64_t since_ms = now.ms - sealed.wrong_at.ms;  // below zero when the clock went back: no wait for that
    const std::int64_t wait_ms = people::wait_seconds(sealed.wrong) * second_ms;
    if (waits == Waits::key_file && since_ms >= 0 && since_ms < wait_ms) {
      wait_s = (wait_ms - since_ms + second_ms - 1) / second_ms;
      return {};
    }
    TRY_LET(opened, people::unseal_key(sealed, pin, file.station_secret()));
    return {};
  };
  // The usual way reads only. A wrong PIN, or the first right one after it, is noted in the key file.
  TRY_LET(auto file, people::KeyFile::read(ledger.keys_path()));
  people::SealedKey* sealed = in_force(file, book, person);
  if (sealed == nullptr) return no_key;
  TRY(attempt(*sealed, file));
  if (wait_s == 0 && (!opened || sealed->wrong > 0)) {
    const bool right = opened.has_value();
    TRY(people::KeyFile::change(ledger.keys_path(), [&](people::KeyFile& changing) -> Result<void> {
      people::SealedKey* one = in_force(changing, book, person);
      if (one == nullptr) return no_key;
      one->wrong = right ? 0 : one->wrong + 1;
      one->wrong_at = now;
      return {};
    }));
  }
  if (wait_s > 0) {
    return Error(ErrorCode::denied, say("people.pin-wait", {{"person", person}, {"seconds", std::to_string(wait_s)}}));
  }
  if (!opened) return Error(ErrorCode::denied, say("people.pin-wrong", {{"person", person}}));
  return std::make_shared<const people::Signer>(people::Signer{.person = std::string(person), .key = *opened});
}

namespace {

// All countersignatures of one event, in order of seq.
Result<std::vector<people::Countersignature>> signatures_of(const Ledger& ledger, std::int64_t of) {
  std::vector<people::Countersignature> found;
  TRY_LET(const auto seqs, ledger.file().landmarks("countersigned"));
  for (auto seq = std::upper_bound(seqs.begin(), seqs.end(), of); seq != seqs.end(); ++seq) {
    TRY_LET(const auto entry, ledger.entry(*seq));
    TRY_LET(const auto event, json::parse(entry.bytes));
    if (event.number_at("of") != static_cast<double>(of) || entry.sig.empty()) continue;
    const auto recorded = parse_date_time(event.text_at("recorded").value_or(""));
    found.push_back({.seq = *seq,
                     .key = std::string(event.text_at("key").value_or("")),
                     .recorded = recorded ? recorded->instant : Instant{}});
  }
  return found;
}

}  // namespace

Result<people::SecondAnswer> Ledger::second(std::int64_t seq) const {
  TRY_LET(const auto kept, entry(seq));
  TRY_LET(const auto event, json::parse(kept.bytes));
  TRY_LET(const auto signatures, signatures_of(*this, seq));
  TRY_LET(const auto book, key_book());
  return people::second_of(people::seconded(event), signatures, book);
}

Result<std::int64_t> Ledger::countersign(std::int64_t seq, std::shared_ptr<const people::Signer> signer) {
  TRY_LET(const auto end, head());
  const std::string of = std::to_string(seq);
  if (seq < 1 || seq > end.seq) return Error(ErrorCode::invalid, say("store.no-entry", {{"seq", of}}));
  TRY_LET(const auto kept, entry(seq));
  TRY_LET(const auto target, json::parse(kept.bytes));
  TRY_LET(const auto book, key_book());
  const people::Seconded seconded = people::seconded(target);
  const std::string key = hex(signer->key.public_key());
  if (seconded.kind == "countersigned")
    return Error(ErrorCode::invalid, say("people.never-countersigned", {{"seq", of}}));
  const auto never = people::why_never(seconded, {.seq = 0, .key = key, .recorded = clock().now()}, book);
  if (never) {
    return Error(ErrorCode::invalid, say("people.never", {{"seq", of}, {"why", never_word(*never, seconded)}}));
  }
  TRY_LET(const auto signatures, signatures_of(*this, seq));
  for (const people::Countersignature& one : signatures) {
    const people::KnownKey* owner = book.find(one.key);
    if (owner == nullptr || owner->owner != signer->person) continue;
    return Error(ErrorCode::invalid, say("people.countersigned-already",
                                         {{"seq", of}, {"person", signer->person}, {"by", std::to_string(one.seq)}}));
  }
  Value event = Value::object();
  event.set("kind", "countersigned").set("at", format_date_time({clock().now(), 0})).set("of", seq);
  AppendOptions options;
  options.giver = events::Giver::program;
  options.same_content_repeats = false;
  options.signer = std::move(signer);
  TRY_LET(const auto done, append({{0, std::move(event)}}, options));
  if (!done.refusals.empty()) return Error(ErrorCode::invalid, done.refusals.front().why);
  if (is_erasure_request(seconded.kind)) {
    const auto destroyed = destroy_countersigned(*this);
    if (!destroyed.ok()) return Error(destroyed.error()).during(say("erasure.undone"));
  }
  return done.first;
}

}  // namespace trayproof
