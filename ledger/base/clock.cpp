#include "ledger/base/clock.h"

#include <chrono>

namespace trayproof {

Instant SystemClock::now() {
  const auto since = std::chrono::system_clock::now().time_since_epoch();
  return {std::chrono::duration_cast<std::chrono::milliseconds>(since).count()};
}

double SystemClock::seconds() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

}  // namespace trayproof
