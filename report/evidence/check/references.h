// What an entry names that stands beside the chain: texts by their stand-ins, attachments by their SHA-256.
#pragma once

#include <set>
#include <string>
#include <string_view>

#include "ledger/text/json.h"

namespace trayproof::evidence {

struct References {
  std::set<std::string> texts;  // hex, as they stand in the entry
  std::set<std::string> files;
};

// Adds to what is there. Of an entry of any kind, known or not.
void gather_references(const json::Value& event, References& into);

// Whether the entry names that thing: by a member that names things of this kind, at any depth, or as
// {"kind":…,"id":…}.
bool names(const json::Value& event, std::string_view kind, std::string_view id);

}  // namespace trayproof::evidence
