// What awaits a second person: entries that name one or always need one, without a countersignature that counts.
#pragma once

#include <string>
#include <vector>

#include "ledger/links/links.h"

namespace trayproof::desk {

struct Awaiting {
  std::int64_t seq = 0;
  Instant at;
  std::string by;
  std::string second;  // whom it names; empty: any other person
  std::string says;
};
// Of those that happened since then, at most so many, the latest first.
Result<std::vector<Awaiting>> awaiting_second(const Ledger& ledger, links::Links& tables, Instant since,
                                              std::int64_t most);

// How far back due work is looked for: what is open for longer is a gap.
Instant due_since(Instant now);

}  // namespace trayproof::desk
