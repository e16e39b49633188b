// Windows of loads on one equipment: their bounds, and what lies between them. docs/recall.md, "Affected loads" and
// "Valid negative". With coarse times a load is inside when any moment of its start is; what bounds must lie wholly on
// its side.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "ledger/links/links.h"
#include "ledger/recall/answer.h"
#include "ledger/sop/sop.h"

namespace trayproof::recall {

// A bound with the interval that it may mean. Starts are compared with ties by id.
struct Edge {
  Bound bound;
  Span span;
  std::string id;  // of the load; of a check nothing
};

// What a window is drawn around: a load, real or imagined, on one equipment.
struct Trigger {
  std::string equipment;
  std::string method;
  std::string load;  // its own readings never bound its window; empty for an imagined one
  Span start;
};

enum class Side { before, after };
Result<std::optional<Edge>> nearest_valid_negative(const Trigger& trigger, Side side, links::Links& links,
                                                   const sop::Editions& editions);
// The last pass of that check before `at` or the first after it, strictly.
Result<std::optional<Edge>> nearest_pass(const std::string& equipment, const std::string& check, Instant at, Side side,
                                         links::Links& links);

// Loads that started on the equipment strictly between two edges, each absent where the window is open.
struct Window {
  std::string equipment;
  std::optional<Edge> after, before;
  std::optional<Instant> until;  // up to and including; instead of `before`
  std::string method;            // only this one; empty: every method
};
// In the order of their start.
Result<std::vector<AffectedLoad>> loads_between(const Window& window, links::Links& links);
// From a row that begins with load, equipment, start_ms, end_ms (of a recorded end), decision_ms (of a release),
// whether evidence is missing, may_wait, start_seq, end_seq, decision_seq.
AffectedLoad affected_load_of(const store::Statement& row);
// Whether a start lies in the window.
bool lies_between(const Window& window, const std::string& load, Span start);

}  // namespace trayproof::recall
