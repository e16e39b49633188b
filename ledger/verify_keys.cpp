#include "ledger/verify_keys.h"

#include <algorithm>

#include "ledger/people/key_proof.h"
#include "ledger/people/stolen.h"
#include "ledger/text/locale.h"
#include "ledger/verify.h"
#include "ledger/words/words.h"

namespace trayproof {

using json::Value;

KeyCheck::KeyCheck(const Ledger& ledger, Verification& found) : ledger_(ledger), found_(found) {
  if (auto book = ledger.key_book(); book.ok())
    book_ = std::move(book).value();  // else a damaged record: the walk tells
  any_stolen_ = std::any_of(book_.all().begin(), book_.all().end(),
                            [](const people::KnownKey& key) { return key.retired && key.retired->cause == "stolen"; });
}

void KeyCheck::problem(std::int64_t seq, std::string what) { found_.problems.push_back({seq, std::move(what)}); }

void KeyCheck::entry(std::int64_t seq, const Value& event) {
  check(seq, event);
  learn(seq, event);
}

// Seq 1 and 2 come before their own key is known; every other event's key was added at a lower seq and not retired.
void KeyCheck::check(std::int64_t seq, const Value& event) {
  if (seq <= 2) return;
  const auto known = known_.find(std::string(event.text_at("key").value_or("")));
  if (known == known_.end()) return problem(seq, say("verify.key-unknown"));
  if (const people::KnownKey* stolen = any_stolen_ ? people::stolen_for(book_, event) : nullptr)
    signed_after_[stolen->public_key].push_back(seq);
  if (known->second.sort == "ledger") return problem(seq, say("verify.key-ledger"));
  if (known->second.retired) problem(seq, say("verify.key-retired", {{"seq", std::to_string(*known->second.retired)}}));
}

void KeyCheck::learn(std::int64_t seq, const Value& event) {
  const auto kind = event.text_at("kind").value_or("");
  if (kind == "key-retired") {
    const auto known = known_.find(std::string(event.text_at("public").value_or("")));
    if (known != known_.end() && !known->second.retired) known->second.retired = seq;
  } else if (kind == "key-added") {
    learn_added(seq, event);
  }
}

void KeyCheck::learn_added(std::int64_t seq, const Value& event) {
  const std::string key(event.text_at("public").value_or(""));
  const std::string owner(event.text_at("owner").value_or(""));
  const std::string sort(event.text_at("sort").value_or(""));
  const std::string text =
      people::proof_text({.ledger = ledger_.ledger_id(), .owner = owner, .sort = sort, .public_key = key});
  crypto::PublicKey public_key{};
  const auto proof = from_hex(event.text_at("proof").value_or(""));
  if (!from_hex(key, public_key) || !proof || !crypto::check_signature(public_key, as_bytes(text), *proof)) {
    problem(seq, say("verify.key-proof"));
  }
  const crypto::PublicKey before = ledger_key();
  if (sort == "ledger" && before != crypto::PublicKey{}) {
    const auto cosigned = from_hex(event.text_at("cosigned").value_or(""));
    if (!cosigned || !crypto::check_signature(before, as_bytes(text), *cosigned))
      problem(seq, say("verify.key-not-cosigned"));
  }
  known_.try_emplace(key, Known{.owner = owner, .sort = sort, .added = seq, .retired = {}});
}

crypto::PublicKey KeyCheck::ledger_key() const {
  crypto::PublicKey key{};
  std::int64_t added = 0;
  for (const auto& [public_key, known] : known_) {
    if (known.sort != "ledger" || known.added < added) continue;
    added = known.added;
    from_hex(public_key, key);
  }
  return key;
}

// What a foreign key signed would be nobody's, and stand in the chain for ever.
void KeyCheck::finish() {
  for (const auto& [public_key, seqs] : signed_after_) {
    const people::KnownKey::Retired& told = *book_.find(public_key)->retired;
    for (const std::int64_t seq : seqs)
      problem(seq,
              say("verify.key-stolen", {{"since", written_here(told.since_text)}, {"seq", std::to_string(told.told)}}));
  }
  const people::KeyFile* keys = ledger_.keys();
  if (keys == nullptr) return;
  const auto is = [&](const crypto::SigningKey& key, std::string_view sort, const std::string& owner) {
    const auto known = known_.find(hex(key.public_key()));
    return known != known_.end() && known->second.sort == sort && known->second.owner == owner;
  };
  if (!is(keys->station_key, "station", keys->station) || !is(keys->ledger_key, "ledger", ledger_.origin()))
    found_.problems.push_back({std::nullopt, say("verify.key-file")});
}

}  // namespace trayproof
