// Patients' numbers beside the chain: the entry holds a pseudonym, the number is sealed under a key of its own and
// found through a keyed index (docs/ledger-format.md, "Patients").
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <unordered_set>
#include <vector>

#include "ledger/base/limits.h"
#include "ledger/base/result.h"
#include "ledger/crypto/hash.h"
#include "ledger/people/key_file.h"
#include "ledger/store/ledger_file.h"

namespace trayproof {

// A patient whose number was never seen before.
struct FreshPatient {
  crypto::Token pseudonym{};
  crypto::Token lookup{};
  std::string number;
};

class Identities {
 public:
  Identities(store::LedgerFile& file, const people::KeyFile& keys) : file_(file), keys_(keys) {}
  // All patients that the ledger knows. Before the first question: the file is not asked again.
  Result<void> load();
  // What was made since the last `keep` is stored, but for these; or it is forgotten.
  void keep(const std::unordered_map<crypto::Token, FreshPatient, crypto::TokenHash>& left_out);
  void undo();
  bool knows(const crypto::Token& lookup) const { return by_lookup_.contains(lookup); }

  crypto::Token lookup_of(std::string_view number) const;
  // The pseudonym of a number that the ledger knows, or that was seen in this batch.
  std::optional<crypto::Token> find(std::string_view number) const;
  // The same, making one for a new number; then `fresh` gets the patient, who becomes known when the row that
  // `seal_patient` makes is stored.
  crypto::Token pseudonym_for(std::string_view number, std::vector<FreshPatient>& fresh);

 private:
  store::LedgerFile& file_;
  const people::KeyFile& keys_;
  // Known ones, and new ones of this batch.
  std::unordered_map<crypto::Token, crypto::Token, crypto::TokenHash> by_lookup_;
  std::vector<crypto::Token> made_;  // lookups of the new ones
};

store::KeptPatient seal_patient(const FreshPatient& fresh, const people::KeyFile& keys);
// Nothing when the row was changed: the number does not open under its pseudonym.
std::optional<std::string> open_number(const store::KeptPatient& patient, const people::KeyFile& keys);

// Finds patients' numbers inside texts and ids, as whole words.
class KnownNumbers {
 public:
  KnownNumbers(const people::KeyFile& keys) : keys_(keys) {}
  Result<void> load(store::LedgerFile& file);
  void add(std::string_view number);
  // What was added since the last `settle` stays where `identities` knows it: a number that was only given, and whose
  // event was left out, is forgotten.
  void settle(const Identities& identities);
  bool found_in(std::string_view text) const;
  // The text with every known number in it masked.
  std::string masked(std::string text) const;

 private:
  // Where the first one stands, and its bytes.
  std::optional<std::pair<std::size_t, std::size_t>> first_in(std::string_view text) const;
  bool add_lookup(const crypto::Token& lookup, std::size_t bytes);
  const people::KeyFile& keys_;
  // Lookups by length of the number in bytes; the longest number that there can be has 4 bytes a code point.
  using Lookups = std::unordered_set<crypto::Token, crypto::TokenHash>;
  std::array<Lookups, 4 * limits::patient_code_points + 1> by_length_;
  std::vector<std::size_t> lengths_;  // that there are, ascending
  std::vector<std::pair<crypto::Token, std::size_t>> added_;
};

}  // namespace trayproof
