// Many inclusion and consistency proofs of one tree from a single pass over its leaf hashes. A proof needs some sixty
// hashes at most, and only those are kept: a ledger of millions of entries is never in memory. Pure.
//
//   ProofPass pass({.size = head.size, .leaves = {7, 99}, .older_sizes = {50}});
//   for each leaf hash in order: pass.add(hash);
//   pass.inclusion(7), pass.inclusion(99), pass.consistency(50), pass.head()
#pragma once

#include <cstdint>
#include <vector>

#include "ledger/log/tree.h"

namespace trayproof::log {

struct WantedProofs {
  std::uint64_t size = 0;                  // of the tree that is proved against
  std::vector<std::uint64_t> leaves;       // each below `size`
  std::vector<std::uint64_t> older_sizes;  // each from 1 to `size`
};

class ProofPass {
 public:
  explicit ProofPass(const WantedProofs& wanted);
  // The next leaf hash; those after the first `size` are passed over.
  void add(const Digest& leaf);
  // Whether all leaves of the tree were fed; the answers below need it.
  bool complete() const { return frontier_.size() == size_; }

  Head head() const;
  Proof inclusion(std::uint64_t leaf) const;
  Proof consistency(std::uint64_t older_size) const;

 private:
  // The root over the leaves from `begin` to before `end`.
  struct Node {
    std::uint64_t begin = 0;
    std::uint64_t end = 0;
    Digest hash{};
  };
  static bool before(const Node& a, const Node& b) { return a.end != b.end ? a.end < b.end : a.begin > b.begin; }
  static void inclusion_nodes(std::uint64_t leaf, std::uint64_t size, std::vector<Node>& path);
  static void consistency_nodes(std::uint64_t older_size, std::uint64_t size, std::vector<Node>& path);
  Proof filled(const std::vector<Node>& path) const;

  std::uint64_t size_;
  Frontier frontier_;
  std::vector<Node> nodes_;  // wanted, by `end`, then the shorter first
  std::size_t next_ = 0;     // the first of them that the pass has not reached
};

}  // namespace trayproof::log
