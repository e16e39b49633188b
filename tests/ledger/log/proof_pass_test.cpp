// One pass against the proofs over whole lists, on every size up to 130.
#include "ledger/log/proof_pass.h"

#include <string>

#include "ledger/log/chain.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

constexpr std::size_t most = 130;

std::vector<Digest> leaves(std::size_t count) {
  std::vector<Digest> hashes;
  for (std::size_t i = 0; i < count; ++i) hashes.push_back(log::leaf_hash("leaf " + std::to_string(i)));
  return hashes;
}

log::ProofPass passed(const log::WantedProofs& wanted, const std::vector<Digest>& fed) {
  log::ProofPass pass(wanted);
  for (const Digest& leaf : fed) pass.add(leaf);
  return pass;
}

}  // namespace

TEST_CASE("one pass gives every inclusion and consistency proof of every size") {
  for (std::size_t size = 1; size <= most; ++size) {
    const auto all = leaves(size);
    log::WantedProofs wanted{.size = size, .leaves = {}, .older_sizes = {}};
    for (std::size_t i = 0; i < size; ++i) wanted.leaves.push_back(i), wanted.older_sizes.push_back(i + 1);
    const log::ProofPass pass = passed(wanted, all);
    REQUIRE(pass.complete());
    REQUIRE(pass.head().root == log::root_of(all));
    for (std::size_t i = 0; i < size; ++i) {
      REQUIRE(pass.inclusion(i) == log::prove_inclusion(all, i));
      REQUIRE(pass.consistency(i + 1) == log::prove_consistency(all, i + 1));
    }
  }
}

TEST_CASE("one proof alone is the same as among all others") {
  for (std::size_t size = 1; size <= 70; ++size) {
    const auto all = leaves(size);
    for (std::size_t i = 0; i < size; ++i) {
      REQUIRE(passed({.size = size, .leaves = {i}, .older_sizes = {}}, all).inclusion(i) ==
              log::prove_inclusion(all, i));
      REQUIRE(passed({.size = size, .leaves = {}, .older_sizes = {i + 1}}, all).consistency(i + 1) ==
              log::prove_consistency(all, i + 1));
    }
  }
}

TEST_CASE("leaves beyond the tree that is proved against change nothing") {
  const auto all = leaves(90);
  for (std::size_t size = 1; size <= 90; ++size) {
    const log::ProofPass pass = passed({.size = size, .leaves = {size - 1, 0}, .older_sizes = {}}, all);
    const std::vector<Digest> first(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(size));
    REQUIRE(pass.head().root == log::root_of(first));
    REQUIRE(pass.inclusion(size - 1) == log::prove_inclusion(first, size - 1));
  }
}

TEST_CASE("a pass is complete only when all leaves were fed") {
  const auto all = leaves(9);
  log::ProofPass pass({.size = 9, .leaves = {4, 4}, .older_sizes = {}});
  for (const Digest& leaf : all) {
    CHECK(!pass.complete());
    pass.add(leaf);
  }
  CHECK(pass.complete());
  CHECK(log::ProofPass({.size = 0, .leaves = {}, .older_sizes = {}}).head().root == log::root_of({}));
}
