// What the gap rules say of a ledger, as counts: for each rule how many things it looked at in the year before the last
// event, how many gaps it found, and of how many it could not tell. Judged by the ledger's own editions, as of its last
// event, since a facility that cannot send is not behind its deadlines for that; as of now where an event lies ahead of
// it.
#pragma once

#include <string>

#include "ledger/links/links.h"
#include "ledger/sop/sop.h"
#include "report/register/postgres.h"

namespace trayproof::registry {

// In place of those that stand there. `editions` are those known at the tables' end; without any there are no counts.
Result<void> put_gap_counts(Connection& connection, const std::string& ledger, links::Links& tables,
                            sop::Editions editions, Instant now);

}  // namespace trayproof::registry
