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

class Identities {
 public:
  Identities(store::LedgerFile& file, const people::KeyFile& keys) : file_(file), keys_(keys) {}
  // All patients that the ledger knows. Before the first question: the file is not asked again.
  Result<void> load();

  crypto::Token lookup_of(std::string_view number) const;
  // The pseudonym of a number that the ledger knows, or that was seen in this batch.
  std::optional<crypto::Token> find(std::string_view number) const;
  // The same, making one for a new number. It is kept only when what `seal_new` gives is stored.
  crypto::Token pseudonym_for(std::string_view number);
  // The new patients among these pseudonyms, sealed; each once.
  // After a roll-back: what was sealed before is new again.
  void seal_again() {
    for (auto& [pseudonym, fresh] : fresh_) fresh.sealed = false;
  }
  std::vector<store::KeptPatient> seal_new(const std::vector<crypto::Token>& pseudonyms);

 private:
  struct Fresh {
    crypto::Token lookup{};
    std::string number;
    bool sealed = false;
  };
  store::LedgerFile& file_;
  const people::KeyFile& keys_;
  std::unordered_map<crypto::Token, crypto::Token, crypto::TokenHash>
      by_lookup_;                                                      // known ones, and new ones of this batch
  std::unordered_map<crypto::Token, Fresh, crypto::TokenHash> fresh_;  // by pseudonym
};

// Nothing when the row was changed: the number does not open under its pseudonym.
std::optional<std::string> open_number(const store::KeptPatient& patient, const people::KeyFile& keys);

// Finds patients' numbers inside texts and ids, as whole words.
class KnownNumbers {
 public:
  KnownNumbers(const people::KeyFile& keys) : keys_(keys) {}
  Result<void> load(store::LedgerFile& file);
  void add(std::string_view number);
  bool found_in(std::string_view text) const;

 private:
  void add_lookup(const crypto::Token& lookup, std::size_t bytes);
  const people::KeyFile& keys_;
  // Lookups by length of the number in bytes; the longest number that there can be has 4 bytes a code point.
  using Lookups = std::unordered_set<crypto::Token, crypto::TokenHash>;
  std::array<Lookups, 4 * limits::patient_code_points + 1> by_length_;
  std::size_t longest_ = 0;
};

}  // namespace trayproof
