// A clock that shows what it was set to.
#pragma once

#include "ledger/base/clock.h"

namespace trayproof::tests {

class SetClock final : public Clock {
 public:
  explicit SetClock(Instant now) : now_(now) {}
  void set(Instant now) { now_ = now; }
  void move(std::int64_t ms) { now_.ms += ms; }
  Instant now() override { return now_; }
  double seconds() override { return static_cast<double>(now_.ms) / 1000; }

 private:
  Instant now_;
};

}  // namespace trayproof::tests
