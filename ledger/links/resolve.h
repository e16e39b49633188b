// Layer 2: works out again what was touched. Each step reads layer 1 and what the steps before it wrote, in this order.
#pragma once

#include <cstdint>
#include <string_view>

#include "ledger/base/zone.h"
#include "ledger/links/statements.h"
#include "ledger/links/touched.h"

namespace trayproof::links {

// When something was: as written, and the first and last moment that its precision leaves open.
struct Times {
  std::int64_t ms = 0;
  std::int64_t earliest_ms = 0;
  std::int64_t latest_ms = 0;
};

// All steps, in order.
Result<void> resolve_touched(Statements& statements, Touched& touched, const Zone& zone);

// Where each curve is placed and which judgement holds. Touches the loads concerned.
Result<void> resolve_curves(Statements& statements, Touched& touched);
// Start, end, decision and packs of each load. Touches the packs it holds and held.
Result<void> resolve_loads(Statements& statements, Touched& touched);
// Each pack, the relevant loads of its uses, moves and indicators, and what became of it under each load. Touches the
// loads whose indicators changed.
Result<void> resolve_packs(Statements& statements, Touched& touched);
// Which readings each load has.
Result<void> resolve_evidence(Statements& statements, const Touched& touched);
Result<void> resolve_biologicals(Statements& statements, const Touched& touched, const Zone& zone);
Result<void> resolve_turns(Statements& statements, const Touched& touched);
Result<void> resolve_soaks(Statements& statements, const Touched& touched);
Result<void> resolve_solutions(Statements& statements, const Touched& touched);
Result<void> resolve_recalls(Statements& statements, const Touched& touched);

// Whether an event that stands names the thing.
Result<bool> is_named(Statements& statements, std::string_view thing, std::string_view id);

}  // namespace trayproof::links
