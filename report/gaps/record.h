// One event as it stands after corrections, read from its table (docs/tables.md, layer 1). Rules read fields by the
// names of the vocabulary; a field that is absent is empty, one that was marked `unknown` says so by its mark.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/result.h"
#include "ledger/events/kinds.h"
#include "ledger/store/database.h"
#include "ledger/text/json.h"
#include "report/gaps/when.h"

namespace trayproof::gaps {

// What an `unknown` marker says of a field.
enum class Mark {
  none,
  not_done,   // a rule says gap
  not_known,  // not recorded or not readable: a rule says cannot tell
};

struct Record {
  const events::Kind* kind = nullptr;
  std::int64_t origin = 0;  // the event as first recorded
  std::int64_t seq = 0;     // the entry that holds now, the one to cite
  When at;
  Precision precision = Precision::second;
  std::string_view by;  // kept, like the key, by the Names that it was read with
  std::string_view key;
  std::optional<Instant> entered;
  Instant recorded;
  std::shared_ptr<const json::Value> unknown;  // object; null where nothing is marked
  struct Held {
    std::size_t field = 0;  // its place among the kind's fields
    json::Value value;
  };
  std::vector<Held> held;  // what is not absent, in the order of the kind's fields

  bool has(std::string_view field) const;
  // Null in it when absent; no pointer when the kind has no such field.
  const json::Value* value(std::string_view field) const;
  // Empty when absent: no id and no choice is an empty text.
  std::string_view text(std::string_view field) const;
  std::optional<double> number(std::string_view field) const;
  std::optional<bool> flag(std::string_view field) const;
  std::vector<std::string_view> texts(std::string_view field) const;
  std::size_t count(std::string_view field) const;  // of a list
  // A date-time of the body, as coarse as the event.
  std::optional<When> time(std::string_view field) const;
  Mark mark(std::string_view field) const;
};

// Who did things, and the public keys they signed with: few, and records share them.
using Names = std::set<std::string, std::less<>>;

// Of one kind, by `at`, then seq: all, or those of which `where` is true ("origin IN (…)").
Result<std::vector<Record>> read_records(store::Database& tables, const events::Kind& kind, Names& names,
                                         std::string_view where = {});

}  // namespace trayproof::gaps
