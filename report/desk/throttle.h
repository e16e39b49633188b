// Guesses are slowed down, and nobody is locked out: three go at once, then each waits twice as long, a minute at most.
// Counted by who guesses about whom, so that a stranger at one station never keeps a nurse at another waiting. Only in
// memory. From any thread.
#pragma once

#include <cstdint>
#include <map>
#include <mutex>
#include <string>

namespace trayproof::desk {

class Throttle {
 public:
  // Seconds until the next guess is looked at; 0: now.
  std::int64_t wait(const std::string& guess, double now);
  void wrong(const std::string& guess, double now);
  void right(const std::string& guess);

 private:
  struct Tries {
    int wrong = 0;
    double last = 0;
  };
  std::mutex mutex_;
  std::map<std::string, Tries> tries_;
};

}  // namespace trayproof::desk
