// Measured curves beside the chain, addressed by the export they come from and their place in it. They spare judging
// the way through the export; they are believed only with this station's mark, and can be made again at any time.
#pragma once

#include <cstdint>
#include <optional>

#include "ledger/ledger.h"

namespace trayproof {

// Of one export, from part 1 on. Inside a transaction of `Ledger::in_one_step` or one of its own.
// `sketch`: few bytes by which the same curve is found again.
Result<void> keep_curve(Ledger& ledger, const Digest& file, std::int64_t part, Bytes bytes, Bytes sketch);
// Nothing where none is kept, or where what is kept does not bear this station's mark.
Result<std::optional<Bytes>> kept_curve(const Ledger& ledger, const Digest& file, std::int64_t part);

// For verify: how many are kept, and one sentence for each that cannot be what was kept.
struct CurvesLooked {
  std::int64_t curves = 0;
  std::vector<std::string> problems;
};
Result<CurvesLooked> look_at_curves(const Ledger& ledger);

}  // namespace trayproof
