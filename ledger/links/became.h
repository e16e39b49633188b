// What became of a pack: the first standing that fits the events that count (docs/recall.md, "Affected packs"). Pure.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace trayproof::links {

// A use (kind procedure-done) or a move of one pack.
struct PackEvent {
  std::string kind;
  std::int64_t origin = 0;
  std::int64_t seq = 0;
  std::int64_t ms = 0;
  std::optional<std::string> state;  // of pack-returned
  std::optional<std::string> place;
};

struct Became {
  std::string standing = "held";  // used, opened, withdrawn, issued, shelf or held
  std::optional<std::int64_t> seq;
  std::optional<std::int64_t> ms;
  // The place that the deciding event named.
  std::optional<std::string> place;
  bool operator==(const Became&) const = default;
};

Became became_of(const std::vector<const PackEvent*>& events);

// The stronger of two, each found under another load: used, opened and withdrawn in this order, then whichever of
// issued and shelf came last, then held.
const Became& stronger(const Became& a, const Became& b);

}  // namespace trayproof::links
