// Works out the derived tables of a ledger and puts them into the register in place of those that stand there: by the
// code that does it beside a ledger, from the entries that the register holds. docs/decisions/0081 tells why whole.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ledger/base/clock.h"
#include "report/register/postgres.h"

namespace trayproof::registry {

// Ledgers whose tables are not those of their present entries.
Result<std::vector<std::string>> behind(Connection& connection);

// Rows put in; 0 when there was nothing to do. One transaction a ledger; waits while somebody else has the ledger.
Result<std::int64_t> derive(Connection& connection, const std::string& ledger, Clock& clock);
// The same, but nothing when somebody else has the ledger: so several share the work between them.
Result<std::optional<std::int64_t>> derive_unless_busy(Connection& connection, const std::string& ledger, Clock& clock);

}  // namespace trayproof::registry
