// The adopted editions of the SOP as their entries hold them: the text, what this program does not know of it, and
// which were confirmed by an event.
#pragma once

#include <string>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/links/links.h"

namespace trayproof::command {

Result<std::string> toml_of(const Ledger& ledger, std::int64_t seq);
// "[steam] warm_up_minutes" of an edition that a newer program adopted: left out, so checked by nobody here.
Result<std::vector<std::string>> unknown_in(const Ledger& ledger, std::int64_t seq);
// The sentence that says so.
std::string unknown_line(std::int64_t seq, const std::vector<std::string>& names);
Result<std::vector<std::int64_t>> confirmed_editions(store::Database& tables);
// How an edition was confirmed by an event: at once, by two, or still awaiting the second. Nothing: by none.
Result<std::optional<people::Second>> confirmation_of(const Ledger& ledger, store::Database& tables, std::int64_t sop);

}  // namespace trayproof::command
