// Ids that may be introduced once (a pack is packed once, a load ends once), as they stand after corrections.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <unordered_set>
#include <utility>
#include <vector>

#include "ledger/base/result.h"
#include "ledger/store/ledger_file.h"
#include "ledger/text/json.h"

namespace trayproof {

struct Introduction {
  std::string_view sort;  // pack, load, load-end, procedure, solution, solution-discard, recall, recall-close
  std::string id;
  std::string_view field;  // that holds the id
  std::string detail;      // of a solution: its use
};

// What an event (settled or stored) introduces; corrections are looked through by the caller.
std::vector<Introduction> introductions_of(const json::Value& event);

// A soak in a solution: refused when that solution is for disinfection or sterilization.
struct Soak {
  std::string solution;
  std::string field;  // "solution" or "replacement.solution"
};
std::vector<Soak> soaks_of(const json::Value& event);

// The event that holds after this one: the replacement of a `corrected` (null when it never happened), else itself.
const json::Value* effective_of(const json::Value& event);

// Who holds each id while a batch is checked: the ledger's own rows, less those whose family the batch corrects, and
// the batch's.
class Holdings {
 public:
  // `entries` is how many the ledger has; `before_asking` is called each time before the file is read or written.
  Holdings(store::LedgerFile& file, std::int64_t entries, std::function<void()> before_asking);
  // Reads all ids of the ledger now: few questions are left that need the file. `claims` is about how many will be
  // made.
  Result<void> know_all(std::size_t claims);
  struct Holder {
    std::int64_t origin = 0;
    std::int64_t line = 0;  // 0 when the ledger holds it already
    std::string detail;
  };
  // The family's introductions are forgotten, to be claimed again by its replacement. Before the first claim.
  Result<void> release(std::int64_t origin);
  // Nothing when the id was free; else who holds it.
  Result<std::optional<Holder>> claim(const Introduction& introduction, std::int64_t origin, std::int64_t line);
  Result<std::optional<Holder>> holder(std::string_view sort, const std::string& id);
  // Writes what changed, inside the transaction.
  Result<void> store();

 private:
  struct Key {
    std::size_t sort = 0;  // its place in the list of sorts
    std::string id;
    bool operator==(const Key&) const = default;
  };
  struct KeyHash {
    std::size_t operator()(const Key& key) const { return std::hash<std::string>()(key.id) ^ (key.sort << 1); }
  };
  struct Slot {
    std::optional<Holder> holder;
    bool changed = false;
  };
  Result<Slot*> slot(std::string_view sort, const std::string& id);

  store::LedgerFile& file_;
  std::function<void()> before_asking_;
  std::size_t asked_ = 0;  // how often the ledger was asked for an id
  std::size_t many_;
  std::optional<std::unordered_set<Key, KeyHash>> ledger_ids_;
  std::unordered_map<Key, Slot, KeyHash> slots_;  // looked at or changed
  std::unordered_map<std::int64_t, std::vector<Key>> by_origin_;
};

}  // namespace trayproof
