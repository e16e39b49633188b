#include "ledger/base/check.h"

#include <cstdio>
#include <cstdlib>

namespace trayproof {

void check_failed(const char* condition, const char* file, int line) {
  std::fprintf(stderr, "trayproof: internal check does not hold: %s (%s:%d)\n", condition, file, line);
  std::abort();
}

}  // namespace trayproof
