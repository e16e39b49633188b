#include "ledger/log/proof_pass.h"

#include <algorithm>

#include "ledger/base/check.h"

namespace trayproof::log {

// RFC 9162 section 2.1.3.1, as the places of the hashes instead of the hashes: from the root down, then turned about.
void ProofPass::inclusion_nodes(std::uint64_t leaf, std::uint64_t size, std::vector<Node>& path) {
  std::uint64_t begin = 0;
  std::uint64_t end = size;
  while (end - begin > 1) {
    const std::uint64_t middle = begin + split(end - begin);
    if (leaf < middle) {
      path.push_back({.begin = middle, .end = end, .hash = {}});
      end = middle;
    } else {
      path.push_back({.begin = begin, .end = middle, .hash = {}});
      begin = middle;
    }
  }
  std::reverse(path.begin(), path.end());
}

// RFC 9162 section 2.1.4.1 in the same way. A subtree that is the older tree itself is left out: its root is known.
void ProofPass::consistency_nodes(std::uint64_t older_size, std::uint64_t size, std::vector<Node>& path) {
  std::uint64_t begin = 0;
  std::uint64_t end = size;
  while (older_size != end) {
    const std::uint64_t middle = begin + split(end - begin);
    if (older_size <= middle) {
      path.push_back({.begin = middle, .end = end, .hash = {}});
      end = middle;
    } else {
      path.push_back({.begin = begin, .end = middle, .hash = {}});
      begin = middle;
    }
  }
  if (begin != 0) path.push_back({.begin = begin, .end = end, .hash = {}});
  std::reverse(path.begin(), path.end());
}

ProofPass::ProofPass(const WantedProofs& wanted) : size_(wanted.size) {
  for (const std::uint64_t leaf : wanted.leaves) {
    CHECK(leaf < size_);
    std::vector<Node> path;
    inclusion_nodes(leaf, size_, path);
    nodes_.insert(nodes_.end(), path.begin(), path.end());
  }
  for (const std::uint64_t older : wanted.older_sizes) {
    CHECK(older > 0 && older <= size_);
    std::vector<Node> path;
    consistency_nodes(older, size_, path);
    nodes_.insert(nodes_.end(), path.begin(), path.end());
  }
  std::sort(nodes_.begin(), nodes_.end(), before);
  const auto same = [](const Node& a, const Node& b) { return a.begin == b.begin && a.end == b.end; };
  nodes_.erase(std::unique(nodes_.begin(), nodes_.end(), same), nodes_.end());
}

void ProofPass::add(const Digest& leaf) {
  if (complete()) return;
  const std::uint64_t end = frontier_.size() + 1;
  if (next_ == nodes_.size() || nodes_[next_].end != end) {
    frontier_.add(leaf);
    return;
  }
  // Of the wanted nodes that end here, a full subtree is one that the frontier joins now; the ragged right edge of the
  // whole tree is put together from the subtrees that are left standing.
  const std::size_t first = next_;
  while (next_ < nodes_.size() && nodes_[next_].end == end) ++next_;
  frontier_.add(leaf, [&](std::uint64_t begin, const Digest& hash) {
    for (std::size_t i = first; i < next_; ++i) {
      if (nodes_[i].begin == begin) nodes_[i].hash = hash;
    }
  });
  if (end != size_) return;
  for (std::size_t i = first; i < next_; ++i) {
    const std::uint64_t leaves = end - nodes_[i].begin;
    if ((leaves & (leaves - 1)) != 0) nodes_[i].hash = frontier_.root_from(nodes_[i].begin);
  }
}

Head ProofPass::head() const {
  CHECK(complete());
  return {.size = size_, .root = frontier_.root()};
}

Proof ProofPass::filled(const std::vector<Node>& path) const {
  CHECK(complete());
  Proof proof;
  for (const Node& one : path) {
    const auto found = std::lower_bound(nodes_.begin(), nodes_.end(), one, before);
    CHECK(found != nodes_.end() && found->begin == one.begin && found->end == one.end);  // it was asked for
    proof.push_back(found->hash);
  }
  return proof;
}

Proof ProofPass::inclusion(std::uint64_t leaf) const {
  CHECK(leaf < size_);
  std::vector<Node> path;
  inclusion_nodes(leaf, size_, path);
  return filled(path);
}

Proof ProofPass::consistency(std::uint64_t older_size) const {
  CHECK(older_size > 0 && older_size <= size_);
  std::vector<Node> path;
  consistency_nodes(older_size, size_, path);
  return filled(path);
}

}  // namespace trayproof::log
