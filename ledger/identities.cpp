#include "ledger/identities.h"

#include <algorithm>

#include "ledger/base/limits.h"
#include "ledger/base/utf8.h"
#include "ledger/crypto/random.h"
#include "ledger/crypto/seal.h"
#include "ledger/text/unicode.h"

namespace trayproof {

crypto::Token Identities::lookup_of(std::string_view number) const {
  return crypto::keyed_token(keys_.lookup_secret, as_bytes(number));
}

Result<void> Identities::load() {
  return file_.scan_pseudonyms(
      [this](const crypto::Token& lookup, const crypto::Token& pseudonym) { by_lookup_.emplace(lookup, pseudonym); });
}

std::optional<crypto::Token> Identities::find(std::string_view number) const {
  const auto there = by_lookup_.find(lookup_of(number));
  return there == by_lookup_.end() ? std::nullopt : std::optional(there->second);
}

crypto::Token Identities::pseudonym_for(std::string_view number) {
  const crypto::Token lookup = lookup_of(number);
  const auto [there, fresh] = by_lookup_.try_emplace(lookup);
  if (!fresh) return there->second;
  there->second = crypto::random_bytes<16>();
  fresh_.emplace(there->second, Fresh{.lookup = lookup, .number = std::string(number), .sealed = false});
  return there->second;
}

std::vector<store::KeptPatient> Identities::seal_new(const std::vector<crypto::Token>& pseudonyms) {
  std::vector<store::KeptPatient> patients;
  for (const crypto::Token& pseudonym : pseudonyms) {
    const auto found = fresh_.find(pseudonym);
    if (found == fresh_.end() || found->second.sealed) continue;
    // The pseudonym is sealed in front of the number, so that a row moved to another patient does not open.
    Bytes plain(pseudonym.begin(), pseudonym.end());
    const ByteView number = as_bytes(found->second.number);
    plain.insert(plain.end(), number.begin(), number.end());
    const Digest key = crypto::random_bytes<32>();
    patients.push_back({.pseudonym = pseudonym,
                        .lookup = found->second.lookup,
                        .sealed_key = crypto::seal(keys_.sealing_secret, key),
                        .sealed_number = crypto::seal(key, plain)});
    found->second.sealed = true;
  }
  return patients;
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

void KnownNumbers::add_lookup(const crypto::Token& lookup, std::size_t bytes) {
  if (bytes >= by_length_.size()) return;  // no number is so long: the row was changed, and verify tells
  by_length_[bytes].insert(lookup);
  longest_ = std::max(longest_, bytes);
}

Result<void> KnownNumbers::load(store::LedgerFile& file) {
  constexpr std::size_t pseudonym_bytes = 16;  // sealed in front of the number
  return file.scan_patients(
      [&](const crypto::Token& lookup, std::size_t bytes) { add_lookup(lookup, bytes - pseudonym_bytes); });
}

void KnownNumbers::add(std::string_view number) {
  add_lookup(crypto::keyed_token(keys_.lookup_secret, as_bytes(number)), number.size());
}

bool KnownNumbers::found_in(std::string_view text) const {
  if (longest_ == 0) return false;
  // Places where a word may begin or end: anywhere but between two letters or digits.
  thread_local std::vector<std::size_t> edges;
  edges.clear();
  bool inside = false;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t begin = at;
    const auto byte = static_cast<unsigned char>(text[at]);
    bool letter = false;
    if (byte < 0x80) {
      ++at;
      letter = (byte >= '0' && byte <= '9') || (byte >= 'a' && byte <= 'z') || (byte >= 'A' && byte <= 'Z');
    } else {
      letter = is_letter_or_digit(next_code_point(text, at));
    }
    if (!(inside && letter)) edges.push_back(begin);
    inside = letter;
  }
  edges.push_back(text.size());
  for (std::size_t i = 0; i < edges.size(); ++i) {
    for (std::size_t k = i + 1; k < edges.size(); ++k) {
      const std::size_t length = edges[k] - edges[i];
      if (length > longest_) break;
      if (by_length_[length].empty()) continue;
      const std::string_view word = text.substr(edges[i], length);
      if (code_points(word) < limits::known_number_code_points) continue;
      if (by_length_[length].contains(crypto::keyed_token(keys_.lookup_secret, as_bytes(word)))) return true;
    }
  }
  return false;
}

}  // namespace trayproof
