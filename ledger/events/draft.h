// An event as a recorder gives it, read against the vocabulary: settled into its one spelling, or refused field by
// field. What only the ledger can know (repeats, ids already there, known patient numbers, the clock) is checked by
// ledger.h.
#pragma once

#include <optional>
#include <string>

#include "ledger/base/time.h"
#include "ledger/events/kinds.h"
#include "ledger/events/refusal.h"
#include "ledger/text/json.h"

namespace trayproof::events {

enum class Giver {
  recorder,  // a person or a file: not the kinds that the program writes by itself
  program,   // this program: every kind
};

struct Draft {
  const Kind* kind = nullptr;
  json::Value event;  // settled; patient numbers and free texts still readable
  DateTime at;
  Precision precision = Precision::second;
};

struct DraftReading {
  std::optional<Draft> draft;  // only when nothing is refused
  Refusals refusals;
};

// `default_by` stands for a missing `by` where the caller has one (the person signed in, or the station).
DraftReading read_draft(json::Value given, Giver giver, const std::optional<std::string>& default_by = std::nullopt);

}  // namespace trayproof::events
