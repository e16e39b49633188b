#include "tests/reference/relevant_load.h"

#include <cstdint>
#include <map>

namespace trayproof::reference {
namespace {

// Whether `a` is certainly the later one: "'Latest' goes by end, ties by id."
// The definition is silent: the tie by id also decides between ends of which one may be coarse, when the earliest end
// of the one is exactly the latest end of the other.
bool certainly_later(const Load& a, const Load& b) {
  const Instant earliest = a.counted_end()->span.earliest;
  const Instant latest = b.counted_end()->span.latest;
  if (earliest != latest) return earliest > latest;
  return a.id > b.id;
}

}  // namespace

std::vector<const Load*> relevant_loads(const Facts& facts, const std::string& pack, const Span& time) {
  std::vector<const Load*> possible;
  for (const Load& load : facts.loads) {
    // "load L could be the relevant one of a use if it holds the pack,"
    if (!load.holds(pack) || !load.counted_end()) continue;
    // "its earliest end is not later than the use's latest time,"
    if (load.counted_end()->span.earliest > time.latest) continue;
    // "and no other load holding the pack has both its earliest end later than L's latest end and its latest end not
    // later than the use's earliest time"
    bool replaced = false;
    for (const Load& other : facts.loads) {
      if (other.id == load.id || !other.holds(pack) || !other.counted_end()) continue;
      if (certainly_later(other, load) && other.counted_end()->span.latest <= time.earliest) replaced = true;
    }
    if (!replaced) possible.push_back(&load);
  }
  return possible;
}

std::vector<const Load*> loads_of_indicator(const Facts& facts, const Happening& indicator) {
  if (const auto load = indicator.text("load")) {
    const Load* found = facts.load(*load);
    if (found == nullptr) return {};
    return {found};
  }
  // "with `pack` alone the relevant load is found"
  const auto pack = indicator.text("pack");
  if (!pack) return {};
  return relevant_loads(facts, *pack, indicator.at.span);
}

std::vector<PlacedCurve> placed_curves(const Facts& facts) {
  // "Of several `curve-placed` of a curve the highest seq holds."
  std::map<std::int64_t, const Happening*> placings;
  for (const Happening& event : facts.events) {
    if (event.kind != "curve-placed" || !event.number("curve")) continue;
    const Happening*& latest = placings[static_cast<std::int64_t>(*event.number("curve"))];
    if (latest == nullptr || latest->seq < event.seq) latest = &event;
  }
  std::vector<PlacedCurve> placed;
  for (const Happening& event : facts.events) {
    if (event.kind != "curve-measured") continue;
    const auto placing = placings.find(event.seq);
    if (placing == placings.end()) continue;
    // "`load` or null"
    const auto load = placing->second->text("load");
    if (load) placed.push_back({*load, event.text("logger")});
  }
  return placed;
}

}  // namespace trayproof::reference
