#include "report/desk/throttle.h"

#include <algorithm>
#include <cmath>

#include "ledger/base/desk_limits.h"

namespace trayproof::desk {
namespace {

double seconds_after(int wrong) {
  if (wrong < limits::desk_free_guesses) return 0;
  const int doublings = std::min(wrong - limits::desk_free_guesses, 10);
  return std::min(std::ldexp(1.0, doublings), static_cast<double>(limits::desk_guess_seconds_max));
}

}  // namespace

std::int64_t Throttle::wait(const std::string& guess, double now) {
  const std::lock_guard lock(mutex_);
  const auto found = tries_.find(guess);
  if (found == tries_.end()) return 0;
  return static_cast<std::int64_t>(
      std::ceil(std::max(0.0, found->second.last + seconds_after(found->second.wrong) - now)));
}

void Throttle::wrong(const std::string& guess, double now) {
  const std::lock_guard lock(mutex_);
  // Who guessed nothing for so long begins anew; that also keeps the table small.
  std::erase_if(tries_,
                [&](const auto& one) { return now - one.second.last > limits::desk_guesses_forgotten_seconds; });
  Tries& tries = tries_[guess];
  ++tries.wrong;
  tries.last = now;
}

void Throttle::right(const std::string& guess) {
  const std::lock_guard lock(mutex_);
  tries_.erase(guess);
}

}  // namespace trayproof::desk
