// In which order a form asks: first what is usually known at hand, which stands open; the rest waits folded.
#pragma once

#include <vector>

#include "ledger/events/kinds.h"

namespace trayproof::desk {

struct FormOrder {
  std::vector<const events::Field*> open;
  std::vector<const events::Field*> folded;
};
FormOrder order_of(const events::Kind& kind);

}  // namespace trayproof::desk
