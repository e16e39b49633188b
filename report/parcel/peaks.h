// A tree that can be put away and gone on with: a Frontier beside the roots of its full subtrees.
#pragma once

#include <utility>
#include <vector>

#include "ledger/log/tree.h"

namespace trayproof::parcel {

class PeakTree {
 public:
  void add(const Digest& leaf) {
    frontier_.add(leaf, [this](std::uint64_t begin, const Digest& root) { put(begin, root); });
  }
  // A full subtree of a power of two of leaves, where one may begin.
  void add_subtree(const Digest& root, std::uint64_t leaves) {
    put(frontier_.size(), root);
    frontier_.add_subtree(root, leaves);
  }
  std::uint64_t size() const { return frontier_.size(); }
  Digest root() const { return frontier_.root(); }
  // Largest first: with the size, all that is needed to go on.
  std::vector<Digest> peaks() const {
    std::vector<Digest> roots;
    for (const auto& [begin, root] : peaks_) roots.push_back(root);
    return roots;
  }

 private:
  // A subtree that ends takes the place of those that it is made of.
  void put(std::uint64_t begin, const Digest& root) {
    while (!peaks_.empty() && peaks_.back().first >= begin) peaks_.pop_back();
    peaks_.emplace_back(begin, root);
  }
  log::Frontier frontier_;
  std::vector<std::pair<std::uint64_t, Digest>> peaks_;  // first leaf and root
};

}  // namespace trayproof::parcel
