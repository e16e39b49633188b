// The relevant load of a use, or of any other moment in a pack's life: docs/recall.md, "Relevant load of a use". Pure.
#pragma once

#include <string>
#include <vector>

#include "ledger/base/time.h"

namespace trayproof::links {

// A load that holds the pack, and the interval of its end (of its start when no end is recorded).
struct HoldingLoad {
  std::string load;
  Span end;
};

class RelevantLoads {
 public:
  explicit RelevantLoads(std::vector<HoldingLoad> loads);

  // In the order of end, then id.
  const std::vector<HoldingLoad>& loads() const { return loads_; }
  // Places in loads() of those that could be the relevant one at `when`: at most one while times are known to the
  // second.
  std::vector<std::size_t> at(Span when) const;

 private:
  std::vector<HoldingLoad> loads_;
  std::vector<std::size_t> latest_begun_;  // of the first n + 1 loads, the one with the latest (earliest end, id)
};

}  // namespace trayproof::links
