// For one large piece of work that reads little twice: the database holds fewer pages in memory, and what is written
// goes to the disk before the commit.
#pragma once

#include <cstdint>
#include <string>

#include "ledger/store/database.h"

namespace trayproof::store {

class SmallCache {
 public:
  // The database must outlive it.
  explicit SmallCache(Database& database) : database_(database) {
    auto size = database.prepare("PRAGMA cache_size");
    if (!size.ok()) return;
    const auto row = size.value().step();
    if (row.ok() && row.value()) before_ = size.value().integer(0);
    set(-4096);  // KiB
  }
  SmallCache(const SmallCache&) = delete;
  SmallCache& operator=(const SmallCache&) = delete;
  ~SmallCache() {
    if (before_ != 0) set(before_);
  }

 private:
  // Nothing depends on it but memory.
  void set(std::int64_t size) { static_cast<void>(database_.run("PRAGMA cache_size = " + std::to_string(size)).ok()); }

  Database& database_;
  std::int64_t before_ = 0;
};

}  // namespace trayproof::store
