// The signed state that a pack is proved against, and the earlier ones that somebody may hold a copy of.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/links/links.h"
#include "report/evidence/belonging.h"

namespace trayproof::evidence {

struct State {
  std::string note;
  log::Head head;
};

// The present state, signed; `tables` then know just as much. Of a ledger that is only read it is the newest signed
// one. Unavailable when that one does not cover all entries.
Result<State> signed_state(Ledger& ledger, links::Links& tables);

// In order, at most limits::pack_older_states: those whose copies are known first, then the newest.
Result<std::vector<std::uint64_t>> older_sizes(const Ledger& ledger, const Belonging& belonging);

}  // namespace trayproof::evidence
