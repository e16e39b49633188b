// Where each lot went that a ledger names: the loads, packs and procedures that `recall --because lot-withdrawn`
// (docs/recall.md) lists for it, by the facility's own computation. Worked out with the derived tables, so that asking
// for a lot costs by the facilities that had it, whatever they did in ten years.
#pragma once

#include <string>

#include "ledger/links/links.h"
#include "ledger/sop/sop.h"
#include "report/register/postgres.h"

namespace trayproof::registry {

// In place of those that stand there. `editions` are those known at the tables' end.
Result<void> put_lot_reach(Connection& connection, const std::string& ledger, links::Links& tables,
                           const sop::Editions& editions);

}  // namespace trayproof::registry
