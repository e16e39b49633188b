// Entries that were signed with a key after it was stolen, in whatever past of a ledger: who stole it writes on beside
// the past in which the theft is reported, and an older machine may report it where nobody counts.
#pragma once

#include <cstdint>
#include <map>
#include <string>

#include "report/register/postgres.h"

namespace trayproof::registry {

// How many of each ledger that has any.
Result<std::map<std::string, std::int64_t>> signed_after_theft(Connection& connection);

}  // namespace trayproof::registry
