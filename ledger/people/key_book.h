// Every key that a ledger ever named: whose it is, since when, and whether and why it was retired. Read from the
// entries key-added and key-retired; docs/ledger-format.md, "Keys", is the authority.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/result.h"
#include "ledger/base/time.h"
#include "ledger/store/ledger_file.h"
#include "ledger/text/json.h"

namespace trayproof::people {

struct KnownKey {
  std::string public_key;  // hex
  std::string owner;
  std::string sort;        // person, station, ledger
  std::int64_t added = 0;  // seq
  Instant added_at;        // recorded
  std::string added_by_key;
  struct Retired {
    std::int64_t seq = 0;   // out of force from here on
    std::int64_t told = 0;  // the entry that tells cause and since
    std::string cause;      // rotated, left, pin-forgotten, lost, stolen
    Instant since;
    std::string since_text;  // as recorded
  };
  std::optional<Retired> retired;

  bool is_person() const { return sort == "person"; }
  // Whether something recorded at that time could have been signed by a thief.
  bool stolen_at(Instant recorded) const { return retired && retired->cause == "stolen" && recorded >= retired->since; }
};

class KeyBook {
 public:
  static Result<KeyBook> read(store::LedgerFile& file);
  // In order of seq: the next key-added or key-retired.
  void learn(std::int64_t seq, const json::Value& event);

  const std::vector<KnownKey>& all() const { return keys_; }
  const KnownKey* find(std::string_view public_key) const;
  // The one added last of those in force; null when there is none.
  const KnownKey* in_force(std::string_view owner, std::string_view sort) const;
  // The ledger key that signed checkpoints while `size` events were there: the last added by then.
  const KnownKey* ledger_key_at(std::int64_t size) const;

 private:
  std::vector<KnownKey> keys_;  // by seq
};

}  // namespace trayproof::people
