// Records of all kinds by the entry that first recorded them. A quarter of a large hospital holds a hundred thousand: a
// sorted list takes a sixth of what a map would.
#pragma once

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "report/gaps/record.h"

namespace trayproof::gaps {

class ByOrigin {
 public:
  // The records must outlive it, and stay where they are.
  void add(const std::vector<Record>& records) {
    const auto before = static_cast<std::ptrdiff_t>(all_.size());
    for (const Record& one : records) all_.push_back(&one);
    const auto earlier = [](const Record* a, const Record* b) { return a->origin < b->origin; };
    std::sort(all_.begin() + before, all_.end(), earlier);
    std::inplace_merge(all_.begin(), all_.begin() + before, all_.end(), earlier);
  }

  // Null when it is not at hand.
  const Record* find(std::int64_t origin) const {
    const auto found = std::lower_bound(all_.begin(), all_.end(), origin,
                                        [](const Record* one, std::int64_t wanted) { return one->origin < wanted; });
    return found == all_.end() || (*found)->origin != origin ? nullptr : *found;
  }

  std::size_t size() const { return all_.size(); }
  auto begin() const { return all_.begin(); }
  auto end() const { return all_.end(); }

 private:
  std::vector<const Record*> all_;
};

}  // namespace trayproof::gaps
