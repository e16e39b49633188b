#include "ledger/links/relevant_load.h"

#include <algorithm>
#include <tuple>

namespace trayproof::links {

RelevantLoads::RelevantLoads(std::vector<HoldingLoad> loads) : loads_(std::move(loads)) {
  std::ranges::sort(loads_, {}, [](const HoldingLoad& one) { return std::tie(one.end.latest, one.load); });
  for (std::size_t place = 0; place < loads_.size(); ++place) {
    const auto key = [&](std::size_t of) { return std::tie(loads_[of].end.earliest, loads_[of].load); };
    const bool later = place == 0 || key(latest_begun_.back()) < key(place);
    latest_begun_.push_back(later ? place : latest_begun_.back());
  }
}

std::vector<std::size_t> RelevantLoads::at(Span when) const {
  // Loads whose latest end is not later than the earliest moment of the use ended before it for certain; of these the
  // one with the latest (earliest end, id) rules out every load that ended earlier than it for certain, ties by id.
  const auto certain_end =
      std::ranges::upper_bound(loads_, when.earliest, {}, [](const HoldingLoad& one) { return one.end.latest; });
  const auto certain = static_cast<std::size_t>(certain_end - loads_.begin());
  std::size_t place = 0;
  if (certain > 0) {
    const HoldingLoad& ruling = loads_[latest_begun_[certain - 1]];
    const auto first =
        std::ranges::lower_bound(loads_, std::tie(ruling.end.earliest, ruling.load), {},
                                 [](const HoldingLoad& one) { return std::tie(one.end.latest, one.load); });
    place = static_cast<std::size_t>(first - loads_.begin());
  }
  std::vector<std::size_t> out;
  for (; place < loads_.size(); ++place) {
    // No interval is longer than a day, so nothing further on can begin in time.
    if (loads_[place].end.latest.ms - day_ms > when.latest.ms) break;
    if (loads_[place].end.earliest <= when.latest) out.push_back(place);
  }
  return out;
}

}  // namespace trayproof::links
