#include "ledger/prove.h"

#include "ledger/log/chain.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using tests::WardLedger;

namespace {

std::string signed_state(WardLedger& ward) {
  auto note = ward.ledger().sign_checkpoint();
  REQUIRE(note.ok());
  return std::move(note).value();
}

}  // namespace

TEST_CASE("every entry of a ledger is proved in one pass and checks from its bytes alone") {
  WardLedger ward;
  const std::string note = signed_state(ward);
  std::vector<std::int64_t> seqs;
  for (std::int64_t seq = ward.size(); seq >= 1; --seq) seqs.push_back(seq);
  const auto proofs = prove_entries(ward.ledger(), seqs, note);
  REQUIRE(proofs.ok());
  REQUIRE(proofs.value().size() == seqs.size());
  for (std::size_t i = 0; i < seqs.size(); ++i) {
    const auto read = log::parse_inclusion_proof(log::to_text(proofs.value()[i]));
    REQUIRE(read.ok());
    CHECK_EQ(read.value().index + 1, static_cast<std::uint64_t>(seqs[i]));
    CHECK(log::check(read.value(), log::leaf_hash(ward.bytes_of(seqs[i])), ward.ledger().ledger_key()) ==
          log::ProofState::holds);
    CHECK(log::check(read.value(), log::leaf_hash("something else"), ward.ledger().ledger_key()) ==
          log::ProofState::not_in_tree);
  }
}

TEST_CASE("a later checkpoint goes on from an older one and an entry after the older one is not covered by it") {
  WardLedger ward;
  const std::string older = signed_state(ward);
  const std::int64_t size = ward.size();
  const auto older_head = ward.ledger().tree_head();
  REQUIRE(older_head.ok());
  ward.take(R"({"kind":"load-started","at":"2026-10-05T08:00:00+05:00","by":"N-1","load":"L-1","equipment":"ST-1",)"
            R"("method":"steam-gravity","packs":[]})");
  const std::string newer = signed_state(ward);
  const auto growth = prove_growth(ward.ledger(), size, newer);
  REQUIRE(growth.ok());
  CHECK(log::check(growth.value(), older_head.value(), ward.ledger().ledger_key()) == log::ProofState::holds);
  CHECK(prove_growth(ward.ledger(), 0, newer).ok());
  CHECK(prove_entries(ward.ledger(), {1, size}, older).ok());
  const auto late = prove_entries(ward.ledger(), {size + 1}, older);
  REQUIRE(!late.ok());
  CHECK(late.error().code() == ErrorCode::missing);
  CHECK(prove_growth(ward.ledger(), size + 1, older).error().code() == ErrorCode::missing);
}

TEST_CASE("a checkpoint of another history is not proved against") {
  WardLedger ward;
  const log::Head other{.size = 3, .root = log::leaf_hash("another history")};
  const std::string note = log::sign_note(log::checkpoint_text(ward.ledger().origin(), other), ward.ledger().origin(),
                                          ward.ledger().keys()->ledger_key);
  const auto proofs = prove_entries(ward.ledger(), {1}, note);
  REQUIRE(!proofs.ok());
  CHECK(proofs.error().code() == ErrorCode::corrupt);
}
