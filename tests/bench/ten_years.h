// Ten years of an invented district hospital, recorded day by day through the real ledger: 12,000 births and 8,000
// operations a year, about 4 million events. The same every time for the same seed.
#pragma once

#include <cstdint>
#include <string>

#include "ledger/base/result.h"
#include "ledger/base/time.h"

namespace trayproof::bench {

struct Decade {
  int years = 10;
  std::uint64_t seed = 1;
};

// The hospital's first day, 2015-01-01, in its zone.
Instant decade_begins();

// Writes the ledger to `path`, or leaves alone what is there and whole. Progress goes to stderr.
Result<void> record_decade(const std::string& path, const Decade& decade);

}  // namespace trayproof::bench
