// Choices kept under a name: small JSON files `<ledger>.profiles/<sort>-<name>.json`, which people may read, mend and
// delete. Their member `for` tells the sort. They are no evidence.
#pragma once

#include <string>
#include <string_view>

#include "ledger/base/result.h"
#include "ledger/text/json.h"

namespace trayproof::profiles {

std::string file_of(const std::string& ledger_path, std::string_view sort, const std::string& name);

// Replaces a profile of that name and sort. Invalid where the name is none.
Result<void> save(const std::string& ledger_path, std::string_view sort, const std::string& name, json::Value profile);

// Missing, with the names that there are; invalid where it is no profile of that sort.
Result<json::Value> load(const std::string& ledger_path, std::string_view sort, const std::string& name);

}  // namespace trayproof::profiles
