// Merkle trees of RFC 6962 / 9162 over leaf hashes: roots, inclusion and consistency proofs. Pure. Leaves are counted
// from 0 here; the ledger's seq is leaf + 1.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "ledger/base/bytes.h"

namespace trayproof::log {

// The root of the tree over the leaf hashes fed so far, with log(n) hashes kept.
class Frontier {
 public:
  // Told of every full subtree that the new leaf ends, the leaf itself first: its first leaf and its root.
  using Ended = std::function<void(std::uint64_t begin, const Digest& root)>;

  void add(const Digest& leaf);
  void add(const Digest& leaf, const Ended& ended);
  // A full subtree of `leaves` (a power of two) leaves, where one may begin: `leaves` divides the size.
  void add_subtree(const Digest& root, std::uint64_t leaves);
  // Another's leaves after these, where each of its full subtrees may begin.
  void append(const Frontier& tail);
  std::uint64_t size() const { return size_; }
  Digest root() const;
  // The root over the leaves from `begin` on, where a full subtree begins there.
  Digest root_from(std::uint64_t begin) const;

 private:
  std::vector<Digest> peaks_;  // roots of the full subtrees, largest first
  std::uint64_t size_ = 0;
};

// The largest power of two smaller than n (RFC 6962 section 2.1), for n > 1: where a tree of n leaves parts.
std::uint64_t split(std::uint64_t n);
Digest node_hash(const Digest& left, const Digest& right);
// Root over a whole list; SHA-256("") for none.
Digest root_of(std::span<const Digest> leaves);

using Proof = std::vector<Digest>;
// RFC 9162 section 2.1.3.1; `leaf` < leaves.size().
Proof prove_inclusion(std::span<const Digest> leaves, std::uint64_t leaf);
// RFC 9162 section 2.1.4.1; 0 < old_size <= leaves.size().
Proof prove_consistency(std::span<const Digest> leaves, std::uint64_t old_size);
// RFC 9162 sections 2.1.3.2 and 2.1.4.2.
bool check_inclusion(const Digest& leaf_hash, std::uint64_t leaf, std::uint64_t size, const Digest& root,
                     const Proof& proof);
struct Head {
  std::uint64_t size = 0;
  Digest root{};
};
bool check_consistency(const Head& older, const Head& newer, const Proof& proof);

}  // namespace trayproof::log
