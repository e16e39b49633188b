#include "tests/reference/turn.h"

namespace trayproof::reference {

Happenings soaks_in_turn(const Facts& facts, const Pack& pack) {
  Happenings soaks;
  if (!pack.set || !pack.packing) return soaks;
  // "after the set's packing before it"
  // The definition is silent: packings at the same moment, as of like sets under one id, share their turn; a coarse
  // packing counts as before when all of its interval is.
  const Pack* previous = nullptr;
  for (const Pack& other : facts.packs) {
    if (other.set != pack.set || !other.packing) continue;
    if (other.packing->span.latest >= pack.packing->span.earliest) continue;
    if (previous == nullptr || previous->packing->span.earliest <= other.packing->span.earliest) previous = &other;
  }
  for (const Happening& event : facts.events) {
    if (event.kind != "soaked" || !event.names("set", *pack.set)) continue;
    // "after the set's packing before it and not after its own `packed`. A soak belongs by its start."
    // The definition is silent: with coarse times a soak belongs when it could.
    if (previous != nullptr && event.at.span.latest <= previous->packing->span.earliest) continue;
    if (event.at.span.earliest > pack.packing->span.latest) continue;
    soaks.push_back(event);
  }
  return soaks;
}

}  // namespace trayproof::reference
