// The slow, obvious second implementation of recall, first part: which events count.
//
// Written from the definition alone and independent of ledger/links and ledger/recall. docs/recall.md ("Two times") and
// docs/ledger-format.md ("Record, findings, correction") are the authorities; their sentences are quoted in the code.
#pragma once

#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/time.h"
#include "ledger/text/json.h"

namespace trayproof::reference {

// One entry as it stands in the ledger: v, seq, recorded, station, key and prev beside the fields.
struct Entry {
  std::int64_t seq = 0;
  json::Value event;
};

// A time as it was written, with everything that it may mean.
struct Moment {
  DateTime written;
  Span span;
};

// One event as it counts once corrections are applied. `seq` is the original's.
struct Happening {
  std::int64_t seq = 0;
  std::string kind;
  Moment at;
  Precision precision = Precision::second;
  json::Value event;

  std::optional<std::string> text(std::string_view field) const;
  std::optional<double> number(std::string_view field) const;
  // True only when the field is there and true.
  bool yes(std::string_view field) const;
  std::vector<std::string> texts(std::string_view field) const;
  // Another date-time of the body, known as exactly as `at`.
  std::optional<Moment> moment(std::string_view field) const;
  // The body field that names one thing.
  bool names(std::string_view field, std::string_view id) const {
    return text(field) == std::optional<std::string>(id);
  }
};

using Happenings = std::vector<Happening>;

// Every event up to `known_at`, corrected as it was known then, in order of seq.
Happenings known_events(const std::vector<Entry>& entries, std::int64_t known_at);
// Those of them whose `at` is not later than `as_of`.
Happenings events_until(const Happenings& known, Instant as_of);

// The ids of that sort of thing (load, pack, equipment, solution, lot, procedure, set) which the event names, at any
// depth.
std::set<std::string> named_in(const json::Value& event, std::string_view thing);

}  // namespace trayproof::reference
