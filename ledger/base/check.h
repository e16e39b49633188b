// CHECK: for what our own reasoning guarantees, on in release. A CHECK that fires is a fault of this program, never of
// its input; the process stops rather than go on with a record it no longer understands.
#pragma once

namespace trayproof {

[[noreturn]] void check_failed(const char* condition, const char* file, int line);

}  // namespace trayproof

#define CHECK(condition) \
  do {                   \
    if (!(condition)) ::trayproof::check_failed(#condition, __FILE__, __LINE__); \
  } while (false)
