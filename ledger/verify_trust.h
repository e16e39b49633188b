// What an earlier run of verify found in order, marked by the station's secret: spares the next run the signatures of
// what was checked. Private to verify.
#pragma once

#include <optional>

#include "ledger/ledger.h"

namespace trayproof {

struct Trusted {
  std::int64_t size = 0;
  Digest state{};  // of the tree and the signatures up to there
};

// How far this station once found everything in order; nothing when it never did or the mark is not its own.
Result<std::optional<Trusted>> trusted_state(const Ledger& ledger);
Result<void> trust(Ledger& ledger, const Trusted& found);

}  // namespace trayproof
