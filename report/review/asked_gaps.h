// The gaps of a ledger as people and programs ask for them: by period, rule and severity.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "ledger/links/links.h"
#include "report/gaps/find.h"

namespace trayproof::review {

struct GapsWanted {
  std::optional<std::string> from, to, rule, severity;
};
struct AskedGaps {
  gaps::Question question;
  std::optional<std::string> misuse;  // what is wrong with what was given
};
AskedGaps asked_gaps(const GapsWanted& wanted, const Zone& zone);

// Of editions that a newer program adopted: what this one does not know of them, and checks nobody by.
using UnknownLimits = std::vector<std::pair<std::int64_t, std::vector<std::string>>>;

struct GapsFound {
  gaps::Findings findings;
  UnknownLimits unknown;
};
// `tables` are caught up, `now` is the clock's. Missing: no edition of the SOP was adopted.
Result<GapsFound> find_gaps(const Ledger& ledger, links::Links& tables, Instant now, const gaps::Question& question);

// The document of `gaps --json`.
json::Value to_json(const GapsFound& found);

}  // namespace trayproof::review
