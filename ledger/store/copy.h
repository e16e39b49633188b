// A copy of an open SQLite file while others go on writing to it: pages are taken in portions, and between two portions
// the file is free. When others write so often that the copy keeps beginning again, the last attempt takes all pages in
// one portion, and writers wait for it.
#pragma once

#include <string>

#include "ledger/base/result.h"
#include "ledger/store/database.h"

namespace trayproof::store {

// Makes the new file `to` (conflict when there is one), readable by its owner only, and has it on the disk when it
// returns: what is read from it afterwards comes from the medium, as far as the machine can be told so. Nothing stays
// behind on failure.
Result<void> copy_online(Database& from, const std::string& to);

}  // namespace trayproof::store
