#include "importer/judging/search.h"

#include <algorithm>

namespace trayproof::judging {

Result<std::optional<Same>> find_same(Library& library, const Outline& curve, const Sketch& sketch) {
  const auto usable = [&](std::size_t place) { return library.sketch(place); };
  std::vector<std::size_t> places = nearest(library.size(), usable, sketch);
  LikestAtTop at_top;
  if (has_few_readings(curve)) {
    const auto trace = [&](std::size_t place) { return library.trace(place); };
    TRY_LET(at_top, likest_at_top(library.size(), usable, trace, curve, sketch));
    for (const auto& [apart, place] : at_top.places) {
      if (std::find(places.begin(), places.end(), place) == places.end()) places.push_back(place);
    }
  }
  Likest likest;
  std::optional<Outline> best;
  for (const std::size_t place : places) {
    TRY_LET(auto other, library.outline(place));
    const auto lie = other ? overlaid(*other, curve) : std::nullopt;
    if (lie && likest.offer(place, *lie)) best = std::move(other);
  }
  if (!best) return std::optional<Same>();
  Same same{.place = *likest.place(), .likeness = likeness(*best, curve, likest.lie())};
  same.likeness.improbable = at_top.improbable(same.place);
  return is_same_curve(same.likeness, likest.next_rms_k()) ? std::optional(same) : std::nullopt;
}

}  // namespace trayproof::judging
