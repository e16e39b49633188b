#include "ledger/log/proof.h"

#include <string>

#include "ledger/base/limits.h"
#include "ledger/log/chain.h"
#include "tests/support/test.h"

using namespace trayproof;
using log::ProofState;

namespace {

crypto::SigningKey signing_key(std::uint8_t number) {
  Digest seed{};
  seed[0] = number;
  return crypto::SigningKey::from_seed(seed);
}
const log::VerifierKey& key() {
  static const log::VerifierKey one{.name = "ward.example/log", .key = signing_key(1).public_key()};
  return one;
}

// The published tree of RFC 6962's tests: transparency-dev/merkle @417fb0c3, testonly/constants.go.
std::vector<Digest> leaves(std::size_t count) {
  const char* inputs[] = {
      "", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f"};
  std::vector<Digest> hashes;
  for (std::size_t i = 0; i < count; ++i) hashes.push_back(log::leaf_hash(as_text(*from_hex(inputs[i]))));
  return hashes;
}
log::Head head(std::size_t size) { return {.size = size, .root = log::root_of(leaves(size))}; }
std::string checkpoint(std::size_t size, std::string_view origin = "ward.example/log") {
  return log::sign_note(log::checkpoint_text(origin, head(size)), key().name, signing_key(1));
}
log::InclusionProof inclusion(std::size_t leaf, std::size_t size) {
  return {.index = leaf, .path = log::prove_inclusion(leaves(size), leaf), .checkpoint = checkpoint(size), .extra = {}};
}
log::ConsistencyProof consistency(std::size_t older, std::size_t size) {
  return {.older_size = older, .path = log::prove_consistency(leaves(size), older), .checkpoint = checkpoint(size)};
}
void must_refuse_inclusion(const std::string& bytes) {
  INFO(bytes);
  const auto read = log::parse_inclusion_proof(bytes);
  REQUIRE(!read.ok());
  CHECK(read.error().code() == ErrorCode::invalid);
  CHECK(!read.error().sentence().empty());
}

}  // namespace

// C2SP tlog-proof.md; the hashes are the published path of leaf 5 in the tree of 8.
TEST_CASE("an inclusion proof is written as the specification says") {
  log::InclusionProof proof = inclusion(5, 8);
  const std::string path =
      "vBoGQ7EuTS18d5GPROD095qDi2z57FtcKD4fTYhZnms=\nyoVOoSjtBQtBs1/8G4e46yveRh6eO1WW7Oa51ZdaCuA=\n"
      "037kGJdt2VdTwcc4Yrk5j6Kiz5tP8P3+izDNlSCWFLc=\n";
  CHECK_EQ(log::to_text(proof), "c2sp.org/tlog-proof@v1\nindex 5\n" + path + "\n" + checkpoint(8));
  proof.extra = Bytes{'m', 'e'};
  CHECK_EQ(log::to_text(proof), "c2sp.org/tlog-proof@v1\nextra bWU=\nindex 5\n" + path + "\n" + checkpoint(8));
}

TEST_CASE("every inclusion proof comes back from its text and holds for its leaf only") {
  for (std::size_t size = 1; size <= 8; ++size) {
    for (std::size_t leaf = 0; leaf < size; ++leaf) {
      const auto read = log::parse_inclusion_proof(log::to_text(inclusion(leaf, size)));
      REQUIRE(read.ok());
      CHECK_EQ(read.value().index, leaf);
      CHECK_EQ(read.value().checkpoint, checkpoint(size));
      for (std::size_t other = 0; other < size; ++other) {
        const auto expected = other == leaf ? ProofState::holds : ProofState::not_in_tree;
        REQUIRE(log::check(read.value(), leaves(size)[other], key()) == expected);
      }
    }
  }
}

TEST_CASE("every consistency proof comes back from its text and holds for its older tree only") {
  for (std::size_t size = 1; size <= 8; ++size) {
    for (std::size_t older = 1; older <= size; ++older) {
      const auto read = log::parse_consistency_proof(log::to_text(consistency(older, size)));
      REQUIRE(read.ok());
      REQUIRE(log::check(read.value(), head(older), key()) == ProofState::holds);
      REQUIRE(log::check(read.value(), {.size = older, .root = leaves(8)[7]}, key()) == ProofState::not_in_tree);
      REQUIRE(log::check(read.value(), head(older + 1 <= 8 ? older + 1 : 1), key()) == ProofState::not_in_tree);
    }
    const log::ConsistencyProof from_nothing{.older_size = 0, .path = {}, .checkpoint = checkpoint(size)};
    CHECK(log::check(from_nothing, head(0), key()) == ProofState::holds);
  }
}

TEST_CASE("whose checkpoint it is decides before the hashes do") {
  log::InclusionProof proof = inclusion(2, 7);
  const Digest leaf = leaves(7)[2];
  const log::VerifierKey other{.name = key().name, .key = signing_key(2).public_key()};
  CHECK(log::check(proof, leaf, other) == ProofState::not_signed);
  proof.checkpoint = checkpoint(7, "other.example/log");
  CHECK(log::check(proof, leaf, key()) == ProofState::other_origin);
  proof.checkpoint = "no note";
  CHECK(log::check(proof, leaf, key()) == ProofState::no_checkpoint);
  for (const ProofState state : {ProofState::holds, ProofState::no_checkpoint, ProofState::not_signed,
                                 ProofState::other_origin, ProofState::not_in_tree}) {
    CHECK(!log::sentence_of(state).empty());
  }
}

TEST_CASE("bytes that are no inclusion proof are refused with a sentence") {
  const std::string good = log::to_text(inclusion(5, 8));
  for (std::size_t end = 0; end < good.size(); ++end) must_refuse_inclusion(good.substr(0, end));
  const auto with = [&](std::string_view from, std::string_view to) {
    std::string changed = good;
    return changed.replace(changed.find(from), from.size(), to);
  };
  must_refuse_inclusion(with("@v1", "@v2"));
  must_refuse_inclusion(with("index 5", "index 05"));
  must_refuse_inclusion(with("index 5", "index -5"));
  must_refuse_inclusion(with("index 5", "index 18446744073709551616"));
  must_refuse_inclusion(with("index 5\n", "extra !\nindex 5\n"));
  must_refuse_inclusion(with("index 5\n", "index 5\nextra bWU=\n"));
  must_refuse_inclusion(with("index 5\n", "index 5\nvBoGQ7EuTS0=\n"));
  must_refuse_inclusion(with("vBo", "vBo\r"));
  std::string many;
  for (std::size_t i = 0; i <= limits::proof_hashes; ++i) many += base64(Digest{}) + "\n";
  must_refuse_inclusion(with("index 5\n", "index 5\n" + many));
  must_refuse_inclusion(good + std::string(limits::proof_bytes, 'x'));
}

TEST_CASE("bytes that are no consistency proof are refused with a sentence") {
  const std::string good = log::to_text(consistency(6, 8));
  for (std::size_t end = 0; end < good.size(); ++end) REQUIRE(!log::parse_consistency_proof(good.substr(0, end)).ok());
  CHECK(!log::parse_consistency_proof("old 06" + good.substr(5)).ok());
  CHECK(!log::parse_consistency_proof("new 6" + good.substr(5)).ok());
}
