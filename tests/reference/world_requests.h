// The recalls that make sense to ask of an invented facility.
#pragma once

#include <vector>

#include "tests/reference/dice.h"
#include "tests/reference/ward.h"
#include "tests/reference/world.h"

namespace trayproof::reference {

// Every `because` at least once, about several subjects, now and then as of an earlier time or as known at an earlier
// seq.
std::vector<RecallRequest> make_requests(Dice& dice, const Ward& ward, const World& world);

}  // namespace trayproof::reference
