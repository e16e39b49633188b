// Sixth part of the reference: what happened to a set between two packings.
#pragma once

#include "tests/reference/facts.h"

namespace trayproof::reference {

// The `soaked` events in the turn of the pack; none for a pack that was never packed here.
Happenings soaks_in_turn(const Facts& facts, const Pack& pack);

}  // namespace trayproof::reference
