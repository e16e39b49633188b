// One event as it stands: the recorder's fields of the entry that holds, beside what its first entry says about when
// and where it was taken. Entries are read here as foreign bytes: what this program does not know is kept apart, never
// lost.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/result.h"
#include "ledger/base/time.h"
#include "ledger/events/kinds.h"
#include "ledger/text/json.h"

namespace trayproof::links {

// An entry's canonical bytes, parsed. Corrupt when they are no JSON object with a kind.
struct Entry {
  std::int64_t seq = 0;
  json::Value fields;
  std::string kind;
};
Result<Entry> read_entry(std::int64_t seq, std::string_view bytes);

// Of the entry in which the event was first recorded.
struct Taking {
  std::string recorded;
  Instant recorded_at;
  std::string station;
  std::string key;
  std::optional<std::string> entered;
};
Taking taking_of(const json::Value& entry);

struct StandingEvent {
  std::int64_t origin = 0;  // seq of the event as first recorded
  std::int64_t seq = 0;     // entry that holds now
  const events::Kind* kind = nullptr;
  json::Value fields;  // the entry's, or the replacement's
  DateTime at;
  Precision precision = Precision::second;
  Span span;
  Taking taking;
};

// Nothing when the kind is unknown to this program or `at` cannot be read.
std::optional<StandingEvent> standing_event(std::int64_t origin, std::int64_t seq, json::Value fields, Taking taking);

// Names of fields that this program does not know in an entry (or replacement) of a known kind.
std::vector<std::string> unknown_fields(const events::Kind& kind, const json::Value& fields);

// A thing that an event names, and in which field.
struct Mention {
  std::string_view thing;
  std::string_view id;
  std::string_view field;
};
// The views live as long as the event's fields.
std::vector<Mention> mentions_of(const events::Kind& kind, const json::Value& fields);

}  // namespace trayproof::links
