#include "ledger/log/tree.h"

#include <bit>

#include "ledger/base/check.h"
#include "ledger/crypto/hash.h"

namespace trayproof::log {
namespace {

void inclusion(std::span<const Digest> leaves, std::uint64_t leaf, Proof& proof) {
  if (leaves.size() <= 1) return;
  const std::uint64_t k = split(leaves.size());
  if (leaf < k) {
    inclusion(leaves.first(k), leaf, proof);
    proof.push_back(root_of(leaves.subspan(k)));
  } else {
    inclusion(leaves.subspan(k), leaf - k, proof);
    proof.push_back(root_of(leaves.first(k)));
  }
}

void consistency(std::span<const Digest> leaves, std::uint64_t old_size, bool whole, Proof& proof) {
  if (old_size == leaves.size()) {
    if (!whole) proof.push_back(root_of(leaves));
    return;
  }
  const std::uint64_t k = split(leaves.size());
  if (old_size <= k) {
    consistency(leaves.first(k), old_size, whole, proof);
    proof.push_back(root_of(leaves.subspan(k)));
  } else {
    consistency(leaves.subspan(k), old_size - k, false, proof);
    proof.push_back(root_of(leaves.first(k)));
  }
}

}  // namespace

std::uint64_t split(std::uint64_t n) {
  CHECK(n > 1);
  return std::bit_floor(n - 1);
}

Digest node_hash(const Digest& left, const Digest& right) {
  static constexpr std::uint8_t node_prefix[] = {0x01};  // RFC 6962 section 2.1
  return crypto::sha256({ByteView(node_prefix), ByteView(left), ByteView(right)});
}

void Frontier::add(const Digest& leaf) {
  Digest carry = leaf;
  // Each trailing one of the size is a full subtree of the same height: join it, as a counter carries.
  for (std::uint64_t bits = size_; (bits & 1) != 0; bits >>= 1) {
    carry = node_hash(peaks_.back(), carry);
    peaks_.pop_back();
  }
  peaks_.push_back(carry);
  ++size_;
}

void Frontier::add(const Digest& leaf, const Ended& ended) {
  Digest carry = leaf;
  std::uint64_t begin = size_;
  ended(begin, carry);
  for (std::uint64_t leaves = 1; (size_ & leaves) != 0; leaves *= 2) {
    carry = node_hash(peaks_.back(), carry);
    peaks_.pop_back();
    begin -= leaves;
    ended(begin, carry);
  }
  peaks_.push_back(carry);
  ++size_;
}

void Frontier::add_subtree(const Digest& root, std::uint64_t leaves) {
  CHECK(std::has_single_bit(leaves) && size_ % leaves == 0);
  Digest carry = root;
  for (std::uint64_t joined = leaves; (size_ & joined) != 0; joined *= 2) {
    carry = node_hash(peaks_.back(), carry);
    peaks_.pop_back();
  }
  peaks_.push_back(carry);
  size_ += leaves;
}

void Frontier::append(const Frontier& tail) {
  std::uint64_t rest = tail.size_;
  for (const Digest& peak : tail.peaks_) {
    const std::uint64_t leaves = std::bit_floor(rest);
    add_subtree(peak, leaves);
    rest -= leaves;
  }
}

Digest Frontier::root_from(std::uint64_t begin) const {
  CHECK(begin < size_);
  // Each one of the size is a peak, the largest first.
  Digest root = peaks_.back();
  std::uint64_t rest = size_ & (size_ - 1);
  std::uint64_t at = rest;
  for (std::size_t i = peaks_.size() - 1; at > begin; --i) {
    root = node_hash(peaks_[i - 1], root);
    rest &= rest - 1;
    at = rest;
  }
  CHECK(at == begin);
  return root;
}

Digest Frontier::root() const { return peaks_.empty() ? crypto::sha256({}) : root_from(0); }

Digest root_of(std::span<const Digest> leaves) {
  Frontier frontier;
  for (const Digest& leaf : leaves) frontier.add(leaf);
  return frontier.root();
}

Proof prove_inclusion(std::span<const Digest> leaves, std::uint64_t leaf) {
  CHECK(leaf < leaves.size());
  Proof proof;
  inclusion(leaves, leaf, proof);
  return proof;
}

Proof prove_consistency(std::span<const Digest> leaves, std::uint64_t old_size) {
  CHECK(old_size > 0 && old_size <= leaves.size());
  Proof proof;
  consistency(leaves, old_size, true, proof);
  return proof;
}

bool check_inclusion(const Digest& hash, std::uint64_t leaf, std::uint64_t size, const Digest& root,
                     const Proof& proof) {
  if (leaf >= size) return false;
  std::uint64_t fn = leaf;
  std::uint64_t sn = size - 1;
  Digest r = hash;
  for (const Digest& p : proof) {
    if (sn == 0) return false;
    if ((fn & 1) != 0 || fn == sn) {
      r = node_hash(p, r);
      while ((fn & 1) == 0 && fn != 0) fn >>= 1, sn >>= 1;
    } else {
      r = node_hash(r, p);
    }
    fn >>= 1;
    sn >>= 1;
  }
  return sn == 0 && r == root;
}

bool check_consistency(const Head& older, const Head& newer, const Proof& proof) {
  if (older.size == 0 || older.size > newer.size) return false;
  if (older.size == newer.size) return proof.empty() && older.root == newer.root;
  Proof path = proof;
  if ((older.size & (older.size - 1)) == 0) path.insert(path.begin(), older.root);
  if (path.empty()) return false;
  std::uint64_t fn = older.size - 1;
  std::uint64_t sn = newer.size - 1;
  while ((fn & 1) != 0) fn >>= 1, sn >>= 1;
  Digest fr = path.front();
  Digest sr = path.front();
  for (std::size_t i = 1; i < path.size(); ++i) {
    if (sn == 0) return false;
    if ((fn & 1) != 0 || fn == sn) {
      fr = node_hash(path[i], fr);
      sr = node_hash(path[i], sr);
      while ((fn & 1) == 0 && fn != 0) fn >>= 1, sn >>= 1;
    } else {
      sr = node_hash(sr, path[i]);
    }
    fn >>= 1;
    sn >>= 1;
  }
  return sn == 0 && fr == older.root && sr == newer.root;
}

}  // namespace trayproof::log
