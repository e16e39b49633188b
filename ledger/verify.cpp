#include "ledger/verify.h"

#include <algorithm>
#include <limits>

#include "ledger/verify_trust.h"
#include "ledger/verify_walk.h"

namespace trayproof {

Result<Verification> verify(Ledger& ledger, const VerifyOptions& options) {
  Verification found;
  found.with_keys = ledger.keys() != nullptr;
  Walk walk(ledger, options, found);
  TRY(walk.run());
  std::stable_sort(found.problems.begin(), found.problems.end(), [](const Problem& a, const Problem& b) {
    constexpr auto last = std::numeric_limits<std::int64_t>::max();
    return a.seq.value_or(last) < b.seq.value_or(last);
  });
  const bool all_checked = options.parts == VerifyParts::all && walk.state_lasts();
  if (all_checked && found.problems.empty() && ledger.writable() && found.events > 0) {
    const auto marked = trust(ledger, {.size = found.events, .state = walk.state()});
    // A full disk, a folder that may not be written or a busy writer take nothing from what was found: the next run
    // only does more.
    const bool only_slower =
        marked.ok() || marked.error().code() == ErrorCode::unavailable || marked.error().code() == ErrorCode::denied;
    if (!only_slower) return marked.error();
  }
  return found;
}

}  // namespace trayproof
