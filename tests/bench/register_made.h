// Parcels of invented ledgers, for the benches of the register.
#pragma once

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "ledger/base/result.h"

namespace trayproof::bench {

template <typename T>
T must(Result<T> result) {
  if (!result.ok()) {
    std::fprintf(stderr, "%s\n", result.error().sentence().c_str());
    std::exit(1);
  }
  return std::move(result).value();
}

struct MadeParcel {
  std::string parcel;  // file
  std::string ledger;  // id
  std::int64_t events = 0;
  double making_s = 0;
  double sending_s = 0;
};

// A new ledger in `folder` with at least `events` events, `portion` of which share a commit and so a signature, and the
// parcel of all of it. Both are files of that name.
MadeParcel make_parcel(const std::string& folder, const std::string& name, std::int64_t events, std::int64_t portion);

}  // namespace trayproof::bench
