// What the benches share: a clock, percentiles, and a generator of a facility's events as JSON lines.
#pragma once

#include <time.h>

#include <algorithm>
#include <chrono>
#include <cstdint>
#include <cstdio>
#include <memory>
#include <string>
#include <vector>

namespace trayproof::bench {

inline double now_s() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

// Seconds that this process was at work itself, or the system for it: they take no notice of who else is at work.
inline double cpu_s() {
  struct ::timespec now {};
  ::clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + static_cast<double>(now.tv_nsec) * 1e-9;
}

inline double percentile(std::vector<double> values, double part) {
  std::sort(values.begin(), values.end());
  return values[std::min(values.size() - 1, static_cast<std::size_t>(part * static_cast<double>(values.size())))];
}

// Portions of a hospital's events, one after the other; `minute_ms` shortens its minutes where so many events are
// wanted that they would not have happened yet.
class HospitalLines {
 public:
  explicit HospitalLines(std::int64_t minute_ms);
  ~HospitalLines();
  std::string next(std::int64_t events);

 private:
  std::unique_ptr<class Hospital> hospital_;
};

// At least `events` lines of an invented hospital with four sterilizers: turns, packs, loads, readings, biologicals
// each week, deliveries. Times run from 2020-01-01 and end before 2026. The same every time.
std::string facility_lines(std::int64_t events, std::vector<std::string>* loads);

}  // namespace trayproof::bench
