// The document of `import curve --json`: what an import says of a file, its refused rows and its cycles.
// docs/json-shapes.md is the authority.
#pragma once

#include <functional>
#include <string_view>

#include "importer/import.h"

namespace trayproof::importer {

// `repeated` is known only to the ledger.
json::Value to_json(const Import& import, bool repeated);
// `json::plain` of the same, piece by piece: of a long export the whole would fill the memory.
void write_json(const Import& import, bool repeated, const std::function<void(std::string_view text)>& write);

}  // namespace trayproof::importer
