// An edition that nobody adopted, for all time: what would be said if it had been in force.
#pragma once

#include "ledger/sop/sop.h"

namespace trayproof::sop {

// Its seq is 0.
inline Editions tried(Sop sop) {
  Editions out;
  out.add(0, std::move(sop), {}, {});
  return out;
}

}  // namespace trayproof::sop
