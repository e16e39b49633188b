// All trees of 0 to 130 leaves, against a second implementation straight from the definitions of RFC 9162 section 2.1.
#include <string>

#include "ledger/crypto/hash.h"
#include "ledger/log/chain.h"
#include "ledger/log/tree.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

constexpr std::size_t most = 130;

const std::vector<Digest>& all_leaves() {
  static const auto made = [] {
    std::vector<Digest> hashes;
    for (std::size_t i = 0; i < most; ++i) hashes.push_back(log::leaf_hash("leaf " + std::to_string(i)));
    return hashes;
  }();
  return made;
}

std::span<const Digest> leaves(std::size_t size) { return std::span(all_leaves()).first(size); }

// Section 2.1.1: MTH({}) = SHA-256(), MTH({d}) = the leaf hash, MTH(D[n]) = SHA-256(0x01 || MTH(D[0:k]) ||
// MTH(D[k:n])).
Digest slow_root(std::span<const Digest> part) {
  if (part.empty()) return crypto::sha256({});
  if (part.size() == 1) return part[0];
  std::size_t k = 1;
  while (k * 2 < part.size()) k *= 2;
  const Digest left = slow_root(part.first(k));
  const Digest right = slow_root(part.subspan(k));
  Bytes bytes = {0x01};
  bytes.insert(bytes.end(), left.begin(), left.end());
  bytes.insert(bytes.end(), right.begin(), right.end());
  return crypto::sha256(bytes);
}

const std::vector<Digest>& roots() {
  static const auto made = [] {
    std::vector<Digest> all;
    for (std::size_t size = 0; size <= most; ++size) all.push_back(slow_root(leaves(size)));
    return all;
  }();
  return made;
}

// One bit somewhere in the digest, different for each place that it is asked for.
Digest flipped(Digest digest, std::size_t where) {
  digest[where % 32] = static_cast<std::uint8_t>(digest[where % 32] ^ (1U << (where / 32 % 8)));
  return digest;
}

}  // namespace

TEST_CASE("the frontier has the root of the definition for every size") {
  log::Frontier frontier;
  for (std::size_t size = 0; size <= most; ++size) {
    REQUIRE(frontier.size() == size);
    REQUIRE(frontier.root() == roots()[size]);
    REQUIRE(log::root_of(leaves(size)) == roots()[size]);
    if (size < most) frontier.add(all_leaves()[size]);
  }
}

TEST_CASE("every inclusion proof checks and fails with one bit changed") {
  for (std::size_t size = 1; size <= most; ++size) {
    const Digest& root = roots()[size];
    for (std::size_t leaf = 0; leaf < size; ++leaf) {
      const log::Proof proof = log::prove_inclusion(leaves(size), leaf);
      const Digest& hash = all_leaves()[leaf];
      REQUIRE(log::check_inclusion(hash, leaf, size, root, proof));
      const std::size_t where = size * 131 + leaf;
      REQUIRE(!log::check_inclusion(flipped(hash, where), leaf, size, root, proof));
      REQUIRE(!log::check_inclusion(hash, leaf, size, flipped(root, where), proof));
      REQUIRE(!log::check_inclusion(hash, leaf, leaf, root, proof));
      for (std::size_t i = 0; i < proof.size(); ++i) {
        log::Proof changed = proof;
        changed[i] = flipped(changed[i], where + i);
        REQUIRE(!log::check_inclusion(hash, leaf, size, root, changed));
      }
      log::Proof longer = proof;
      longer.push_back(root);
      REQUIRE(!log::check_inclusion(hash, leaf, size, root, longer));
      if (proof.empty()) continue;
      log::Proof shorter = proof;
      shorter.pop_back();
      REQUIRE(!log::check_inclusion(hash, leaf, size, root, shorter));
    }
  }
}

TEST_CASE("an inclusion proof tells one place only") {
  for (const std::size_t size : {2U, 3U, 7U, 8U, 33U, 130U}) {
    for (std::size_t leaf = 0; leaf < size; ++leaf) {
      const log::Proof proof = log::prove_inclusion(leaves(size), leaf);
      for (std::size_t other = 0; other < size; ++other) {
        REQUIRE(log::check_inclusion(all_leaves()[leaf], other, size, roots()[size], proof) == (other == leaf));
      }
    }
  }
}

TEST_CASE("every pair of sizes is consistent and no longer so with one bit changed") {
  for (std::size_t newer = 1; newer <= most; ++newer) {
    for (std::size_t older = 1; older <= newer; ++older) {
      const log::Proof proof = log::prove_consistency(leaves(newer), older);
      const log::Head old_head{older, roots()[older]};
      const log::Head new_head{newer, roots()[newer]};
      REQUIRE(log::check_consistency(old_head, new_head, proof));
      const std::size_t where = newer * 131 + older;
      REQUIRE(!log::check_consistency({older, flipped(roots()[older], where)}, new_head, proof));
      REQUIRE(!log::check_consistency(old_head, {newer, flipped(roots()[newer], where)}, proof));
      REQUIRE(!log::check_consistency({0, roots()[0]}, new_head, proof));
      for (std::size_t i = 0; i < proof.size(); ++i) {
        log::Proof changed = proof;
        changed[i] = flipped(changed[i], where + i);
        REQUIRE(!log::check_consistency(old_head, new_head, changed));
      }
      log::Proof longer = proof;
      longer.push_back(roots()[newer]);
      REQUIRE(!log::check_consistency(old_head, new_head, longer));
      if (older != newer) REQUIRE(!log::check_consistency(new_head, old_head, proof));
    }
  }
}

// Two histories that part after `older` leaves: the proof of one does not carry the other.
TEST_CASE("a rewritten history is not consistent with the head that was kept") {
  for (std::size_t older = 1; older < 40; ++older) {
    for (std::size_t newer = older; newer <= 40; ++newer) {
      std::vector<Digest> rewritten(leaves(newer).begin(), leaves(newer).end());
      rewritten[older - 1] = log::leaf_hash("another");
      const log::Head head{newer, log::root_of(rewritten)};
      REQUIRE(!log::check_consistency({older, roots()[older]}, head, log::prove_consistency(rewritten, older)));
    }
  }
}
