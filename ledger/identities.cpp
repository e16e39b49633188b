#include "ledger/identities.h"

#include <algorithm>

#include "ledger/base/limits.h"
#include "ledger/base/utf8.h"
#include "ledger/crypto/random.h"
#include "ledger/crypto/seal.h"
#include "ledger/text/unicode.h"
#include "ledger/words/words.h"

namespace trayproof {

crypto::Token Identities::lookup_of(std::string_view number) const {
  return crypto::keyed_token(keys_.lookup_secret, as_bytes(number));
}

Result<void> Identities::load() {
  by_lookup_.clear();
  made_.clear();
  return file_.scan_pseudonyms(
      [this](const crypto::Token& lookup, const crypto::Token& pseudonym) { by_lookup_.emplace(lookup, pseudonym); });
}

std::optional<crypto::Token> Identities::find(std::string_view number) const {
  const auto there = by_lookup_.find(lookup_of(number));
  return there == by_lookup_.end() ? std::nullopt : std::optional(there->second);
}

crypto::Token Identities::pseudonym_for(std::string_view number, std::vector<FreshPatient>& fresh) {
  const crypto::Token lookup = lookup_of(number);
  const auto [there, is_new] = by_lookup_.try_emplace(lookup);
  if (!is_new) return there->second;
  there->second = crypto::random_bytes<16>();
  made_.push_back(lookup);
  fresh.push_back({.pseudonym = there->second, .lookup = lookup, .number = std::string(number)});
  return there->second;
}

void Identities::keep(const std::unordered_map<crypto::Token, FreshPatient, crypto::TokenHash>& left_out) {
  for (const auto& [pseudonym, one] : left_out) by_lookup_.erase(one.lookup);
  made_.clear();
}

void Identities::undo() {
  for (const crypto::Token& lookup : made_) by_lookup_.erase(lookup);
  made_.clear();
}

store::KeptPatient seal_patient(const FreshPatient& fresh, const people::KeyFile& keys) {
  // The pseudonym is sealed in front of the number, so that a row moved to another patient does not open.
  Bytes plain(fresh.pseudonym.begin(), fresh.pseudonym.end());
  const ByteView number = as_bytes(fresh.number);
  plain.insert(plain.end(), number.begin(), number.end());
  const Digest key = crypto::random_bytes<32>();
  return {.pseudonym = fresh.pseudonym,
          .lookup = fresh.lookup,
          .sealed_key = crypto::seal(keys.sealing_secret, key),
          .sealed_number = crypto::seal(key, plain)};
}

std::optional<std::string> open_number(const store::KeptPatient& patient, const people::KeyFile& keys) {
  const auto key_bytes = crypto::unseal(keys.sealing_secret, patient.sealed_key);
  if (!key_bytes || key_bytes->size() != 32) return std::nullopt;
  Digest key;
  std::copy(key_bytes->begin(), key_bytes->end(), key.begin());
  const auto plain = crypto::unseal(key, patient.sealed_number);
  if (!plain || plain->size() <= 16 ||
      !std::equal(patient.pseudonym.begin(), patient.pseudonym.end(), plain->begin())) {
    return std::nullopt;
  }
  return std::string(plain->begin() + 16, plain->end());
}

bool KnownNumbers::add_lookup(const crypto::Token& lookup, std::size_t bytes) {
  if (bytes >= by_length_.size()) return false;  // no number is so long: the row was changed, and verify tells
  Lookups& lookups = by_length_[bytes];
  if (lookups.empty()) {
    const auto place = std::lower_bound(lengths_.begin(), lengths_.end(), bytes);
    if (place == lengths_.end() || *place != bytes) lengths_.insert(place, bytes);
  }
  return lookups.insert(lookup).second;
}

Result<void> KnownNumbers::load(store::LedgerFile& file) {
  constexpr std::size_t pseudonym_bytes = 16;  // sealed in front of the number
  for (const std::size_t length : lengths_) by_length_[length].clear();
  lengths_.clear();
  added_.clear();
  return file.scan_patients(
      [&](const crypto::Token& lookup, std::size_t bytes) { add_lookup(lookup, bytes - pseudonym_bytes); });
}

void KnownNumbers::add(std::string_view number) {
  const crypto::Token lookup = crypto::keyed_token(keys_.lookup_secret, as_bytes(number));
  if (add_lookup(lookup, number.size())) added_.emplace_back(lookup, number.size());
}

void KnownNumbers::settle(const Identities& identities) {
  for (const auto& [lookup, bytes] : added_) {
    if (!identities.knows(lookup)) by_length_[bytes].erase(lookup);
  }
  added_.clear();
}

bool KnownNumbers::found_in(std::string_view text) const { return first_in(text).has_value(); }

std::string KnownNumbers::masked(std::string text) const {
  while (const auto word = first_in(text)) {
    const std::string_view number = std::string_view(text).substr(word->first, word->second);
    const std::string mask = say("refused.masked", {{"length", std::to_string(code_points(number))}});
    text.replace(word->first, word->second, mask);
  }
  return text;
}

std::optional<std::pair<std::size_t, std::size_t>> KnownNumbers::first_in(std::string_view text) const {
  if (lengths_.empty() || text.size() < lengths_.front()) return std::nullopt;
  // Whether a word may begin or end at each place: anywhere but between two letters or digits.
  thread_local std::vector<char> edge;
  edge.assign(text.size() + 1, 0);
  bool inside = false;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t begin = at;
    const bool letter = is_letter_or_digit(next_code_point(text, at));
    edge[begin] = inside && letter ? 0 : 1;
    inside = letter;
  }
  edge[text.size()] = 1;
  for (const std::size_t length : lengths_) {
    for (std::size_t from = 0; from + length <= text.size(); ++from) {
      if (edge[from] == 0 || edge[from + length] == 0) continue;
      const std::string_view word = text.substr(from, length);
      if (code_points(word) < limits::known_number_code_points) continue;
      if (by_length_[length].contains(crypto::keyed_token(keys_.lookup_secret, as_bytes(word)))) {
        return std::pair(from, length);
      }
    }
  }
  return std::nullopt;
}

}  // namespace trayproof
