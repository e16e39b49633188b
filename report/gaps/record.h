// One event as it stands after corrections, read from its table (docs/tables.md, layer 1). Rules read fields by the
// names of the vocabulary; a field that is absent is empty, one that was marked `unknown` says so by its mark.
#pragma once

#include <optional>
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
  std::string by;
  std::string key;
  std::optional<Instant> entered;
  Instant recorded;
  json::Value unknown;              // object, or null
  std::vector<json::Value> fields;  // in the order of the kind's fields, null where absent

  bool has(std::string_view field) const;
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

// All of one kind, by `at`, then seq.
Result<std::vector<Record>> read_records(store::Database& tables, const events::Kind& kind);

}  // namespace trayproof::gaps
