// SQL as somebody runs it who knows the file well: the triggers on entries are taken out before and put back after.
#pragma once

#include <string>

#include "ledger/store/database.h"

namespace trayproof::tests {

// False when SQLite itself refuses the SQL; the triggers are back all the same.
bool run_unguarded(store::Database& database, const std::string& sql);

}  // namespace trayproof::tests
