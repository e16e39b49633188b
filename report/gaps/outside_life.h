// Chemical loads and the life of the solution they ran in; docs/decisions/0091 says what has none.
#pragma once

#include <optional>

#include "report/gaps/rule.h"

namespace trayproof::gaps {

// Whether some part of a chemical load lies outside the life of its solution: after its end, after it was discarded, or
// in one that was prepared to decontaminate, which has no life as a disinfectant.
struct OutsideLife {
  Told is = Told::open;
  bool not_stated = false;   // nothing ends its life: then the rest says nothing
  bool other_use = false;    // prepared to decontaminate
  std::optional<When> over;  // where it is by time: the earliest end that the load goes beyond
  Seqs rests_on;             // where it is
};
OutsideLife outside_life(const Facts& facts, const Load& load);

}  // namespace trayproof::gaps
