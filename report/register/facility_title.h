// What a facility is called: the title that its own entries described last, else the ledger's id. What a parcel says
// of itself beside its entries is covered by no signature and names nothing.
#pragma once

#include <string>

namespace trayproof::registry {

// As SQL, of the ledger that `ledger` (like "l.ledger") stands for.
std::string title_sql(const std::string& ledger);

}  // namespace trayproof::registry
