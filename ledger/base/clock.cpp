#include "ledger/base/clock.h"

#include <time.h>

#include <chrono>

namespace trayproof {

Instant SystemClock::now() {
  const auto since = std::chrono::system_clock::now().time_since_epoch();
  return {std::chrono::duration_cast<std::chrono::milliseconds>(since).count()};
}

double SystemClock::seconds() {
  // Not CLOCK_MONOTONIC: a night with the lid closed would look like a clock that jumped.
  ::timespec time{};
  ::clock_gettime(CLOCK_BOOTTIME, &time);
  return static_cast<double>(time.tv_sec) + static_cast<double>(time.tv_nsec) / 1e9;
}

}  // namespace trayproof
