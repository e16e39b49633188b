#include "ledger/persons.h"

#include <algorithm>

#include "ledger/crypto/random.h"
#include "ledger/people/key_proof.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

using json::Value;

Value event_of(const Ledger& ledger, std::string_view kind, const std::shared_ptr<const people::Signer>& signer) {
  Value event = Value::object();
  event.set("kind", kind).set("at", format_date_time({ledger.clock().now(), 0}));
  event.set("by", signer ? signer->person : ledger.actor());
  return event;
}

Value retired_event(const Ledger& ledger, const Retirement& retirement) {
  Value event = event_of(ledger, "key-retired", retirement.signer);
  event.set("public", retirement.public_key)
      .set("since", format_date_time(retirement.since))
      .set("cause", retirement.cause);
  return event;
}

// Takes all of them or none; the seq of the last.
Result<std::int64_t> take(Ledger& ledger, std::vector<Value> events,
                          const std::shared_ptr<const people::Signer>& signer) {
  AppendOptions options;
  options.giver = events::Giver::program;
  options.same_content_repeats = false;
  options.signer = signer;
  std::vector<GivenEvent> given;
  for (Value& event : events) given.push_back({0, std::move(event)});
  TRY_LET(const auto done, ledger.append(std::move(given), options));
  if (!done.refusals.empty()) {
    const events::Refusal& first = done.refusals.front();
    return Error(ErrorCode::invalid, first.field + ": " + first.why);
  }
  return done.last;
}

// Sealed keys whose public half is no longer in force serve nobody.
Result<void> drop_dead_keys(Ledger& ledger) {
  TRY_LET(const auto book, ledger.key_book());
  TRY(people::KeyFile::change(people::key_path(ledger.path()), [&](people::KeyFile& file) -> Result<void> {
    std::erase_if(file.persons, [&](const people::SealedKey& one) {
      const people::KnownKey* known = book.find(hex(one.public_key));
      return known == nullptr || known->retired.has_value();
    });
    return {};
  }));
  return {};
}

}  // namespace

Result<std::int64_t> give_key(Ledger& ledger, const KeyGift& gift) {
  if (ledger.keys() == nullptr) return Error(ErrorCode::denied, say("people.no-key-file"));
  TRY_LET(const auto book, ledger.key_book());
  const auto key = crypto::SigningKey::from_seed(crypto::random_bytes<32>());
  TRY(people::KeyFile::change(people::key_path(ledger.path()), [&](people::KeyFile& file) -> Result<void> {
    TRY_LET(auto sealed, people::seal_key(key, gift.person, gift.pin, file.station_secret(), gift.cost));
    file.persons.push_back(std::move(sealed));
    return {};
  }));
  const std::string public_key = hex(key.public_key());
  Value added = event_of(ledger, "key-added", gift.signer);
  added.set("public", public_key).set("owner", gift.person).set("sort", "person");
  added.set("proof", people::prove({ledger.ledger_id(), gift.person, "person", public_key}, key));
  std::vector<Value> events = {std::move(added)};
  const bool own = gift.signer && gift.signer->person == gift.person;
  for (const people::KnownKey& one : book.all()) {
    if (one.retired || !one.is_person() || one.owner != gift.person) continue;
    events.push_back(retired_event(ledger, {.public_key = one.public_key,
                                            .cause = own ? "rotated" : "pin-forgotten",
                                            .since = {ledger.clock().now(), 0},
                                            .signer = gift.signer}));
  }
  TRY_LET(const auto last, take(ledger, std::move(events), gift.signer));
  TRY(drop_dead_keys(ledger));
  return last;
}

Result<std::int64_t> retire_key(Ledger& ledger, const Retirement& retirement) {
  TRY_LET(const auto book, ledger.key_book());
  const people::KnownKey* known = book.find(retirement.public_key);
  const bool found_stolen = known != nullptr && known->retired && retirement.cause == "stolen";
  if (known == nullptr || (known->retired && !found_stolen)) {
    return Error(ErrorCode::missing, say("people.no-such-key", {{"key", retirement.public_key}}));
  }
  const auto is_own = [&](const crypto::SigningKey& own) { return hex(own.public_key()) == known->public_key; };
  if (ledger.keys() != nullptr && (is_own(ledger.keys()->station_key) || is_own(ledger.keys()->ledger_key))) {
    return Error(ErrorCode::invalid, say("people.rotate-instead", {{"sort", known->sort}}));
  }
  TRY_LET(const auto seq, take(ledger, {retired_event(ledger, retirement)}, retirement.signer));
  TRY(drop_dead_keys(ledger));
  return seq;
}

Result<std::int64_t> leave(Ledger& ledger, const Leaving& leaving) {
  TRY_LET(const auto book, ledger.key_book());
  Value left = event_of(ledger, "person-left", leaving.signer);
  left.set("at", format_date_time(leaving.at)).set("person", leaving.person);
  std::vector<Value> events = {std::move(left)};
  for (const people::KnownKey& one : book.all()) {
    if (one.retired || !one.is_person() || one.owner != leaving.person) continue;
    events.push_back(retired_event(
        ledger, {.public_key = one.public_key, .cause = "left", .since = leaving.at, .signer = leaving.signer}));
  }
  TRY_LET(const auto last, take(ledger, std::move(events), leaving.signer));
  TRY(drop_dead_keys(ledger));
  return last;
}

}  // namespace trayproof
