// Which prepared entries have a content digest: a flat table that is looked into once for each event of a file.
#pragma once

#include <cstdint>
#include <vector>

#include "ledger/crypto/hash.h"

namespace trayproof {

class DigestIndex {
 public:
  void add(const crypto::Token& digest, std::uint32_t index) {
    if ((rows_ + 1) * 2 > slots_.size()) grow();
    place({digest, index + 1});
    ++rows_;
  }
  // Calls `visit` with every index that has this digest.
  template <typename Visit>
  void each(const crypto::Token& digest, const Visit& visit) const {
    if (slots_.empty()) return;
    for (std::size_t at = home(digest); slots_[at].index != 0; at = (at + 1) & (slots_.size() - 1)) {
      if (slots_[at].digest == digest) visit(slots_[at].index - 1);
    }
  }

 private:
  struct Slot {
    crypto::Token digest{};
    std::uint32_t index = 0;  // one more than the entry's; 0 is free
  };
  std::size_t home(const crypto::Token& digest) const { return crypto::TokenHash()(digest) & (slots_.size() - 1); }
  void place(const Slot& slot) {
    std::size_t at = home(slot.digest);
    while (slots_[at].index != 0) at = (at + 1) & (slots_.size() - 1);
    slots_[at] = slot;
  }
  void grow() {
    std::vector<Slot> old(slots_.empty() ? 64 : slots_.size() * 2);
    old.swap(slots_);
    for (const Slot& slot : old) {
      if (slot.index != 0) place(slot);
    }
  }

  std::vector<Slot> slots_;  // a power of two, at most half full
  std::size_t rows_ = 0;
};

}  // namespace trayproof
