// A clock that shows what it was set to; `set` and `move` are time that passes, forward or not.
#pragma once

#include "ledger/base/clock.h"

namespace trayproof::tests {

class SetClock final : public Clock {
 public:
  explicit SetClock(Instant now) : now_(now) {}
  void set(Instant now) { now_ = now; }
  void move(std::int64_t ms) { now_.ms += ms; }
  // The hands alone: no time passes.
  void turn_to(Instant now) {
    turned_ms_ += now.ms - now_.ms;
    now_ = now;
  }
  Instant now() override { return now_; }
  double seconds() override { return static_cast<double>(now_.ms - turned_ms_) / 1000; }

 private:
  Instant now_;
  std::int64_t turned_ms_ = 0;
};

}  // namespace trayproof::tests
