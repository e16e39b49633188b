// The clock, as something that is passed in. Only clock.cpp reads the machine's time.
#pragma once

#include "ledger/base/time.h"

namespace trayproof {

class Clock {
 public:
  virtual ~Clock() = default;
  // Wall time, as the machine shows it. May go back.
  virtual Instant now() = 0;
  // Seconds that only go forward, and go on while the machine sleeps.
  virtual double seconds() = 0;
};

class SystemClock final : public Clock {
 public:
  Instant now() override;
  double seconds() override;
};

}  // namespace trayproof
