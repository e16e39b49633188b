// A row that could not be read, as JSON and in words.
#pragma once

#include <string>

#include "importer/reading/outcome.h"
#include "ledger/text/json.h"

namespace trayproof::importer {

// As kept: the words are English.
json::Value to_json(const reading::RefusedRow& row);
// In the language that is spoken.
std::string why_here(const reading::RefusedRow& row);
std::string mend_here(const reading::RefusedRow& row);

}  // namespace trayproof::importer
