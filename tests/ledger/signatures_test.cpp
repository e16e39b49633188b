// docs/ledger-format.md, "Signatures": who signs, what each signature covers, and what verify says of the rest.
#include "ledger/crypto/sign.h"
#include "ledger/log/chain.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

std::string openings(int count, int from = 0) {
  std::string lines;
  for (int i = from; i < from + count; ++i) {
    lines += R"({"kind":"pack-opened","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":"PK-)" + std::to_string(i) +
             "\"}\n";
  }
  return lines;
}

struct Signed {
  std::int64_t seq = 0;
  std::int64_t signs = 0;
};

// Every entry that carries a signature, with the lowest seq that it covers; each signature is checked here by itself.
std::vector<Signed> signed_entries(WardLedger& ward, std::int64_t from) {
  std::vector<Signed> found;
  const auto visited = ward.ledger().scan(from, ward.size(), [&](const store::EntryView& entry) -> Result<void> {
    if (entry.sig.empty()) {
      CHECK(!holds(entry.bytes, "\"signs\""));
      return {};
    }
    const json::Value event = event_of(entry.bytes);
    crypto::PublicKey key{};
    REQUIRE(from_hex(*event.text_at("key"), key));
    CHECK(crypto::check_signature(key, log::leaf_hash(entry.bytes), entry.sig));
    found.push_back(
        {entry.seq, static_cast<std::int64_t>(event.number_at("signs").value_or(static_cast<double>(entry.seq)))});
    return {};
  });
  REQUIRE(visited.ok());
  return found;
}

}  // namespace

TEST_CASE("each commit is signed once and every ten thousand events") {
  struct Row {
    int count;
    std::vector<Signed> expected;
  };
  const Row rows[] = {
      {1, {{6, 6}}},
      {2, {{7, 6}}},
      {3, {{8, 6}}},
      {9'999, {{10'004, 6}}},
      {10'000, {{10'005, 6}}},
      {10'001, {{10'005, 6}, {10'006, 10'006}}},
      {20'001, {{10'005, 6}, {20'005, 10'006}, {20'006, 20'006}}},
  };
  for (const Row& row : rows) {
    INFO(row.count);
    WardLedger ward;
    ward.take(openings(row.count));
    const auto found = signed_entries(ward, first_seq);
    REQUIRE(found.size() == row.expected.size());
    for (std::size_t i = 0; i < found.size(); ++i) {
      CHECK_EQ(found[i].seq, row.expected[i].seq);
      CHECK_EQ(found[i].signs, row.expected[i].signs);
    }
    const auto verified = verify(ward.ledger(), Depth::full);
    REQUIRE(verified.ok());
    CHECK(verified.value().problems.empty());
    CHECK_EQ(verified.value().events, row.count + 5);
    CHECK_EQ(verified.value().signatures, static_cast<std::int64_t>(row.expected.size()) + 1);
  }
}

TEST_CASE("a lone event carries no signs and the first commit is signed by its last event") {
  WardLedger ward;
  ward.take(openings(1));
  CHECK(ward.entry(6).find("signs") == nullptr);
  CHECK(ward.entry(5).number_at("signs") == 1.0);
  for (std::int64_t seq = 1; seq <= 4; ++seq) CHECK(ward.ledger().entry(seq).value().sig.empty());
}

TEST_CASE("signatures checked once are spared the next time and not when all is asked for") {
  WardLedger ward;
  ward.take(openings(3));
  ward.take(openings(3, 10));
  const auto first = verify(ward.ledger(), Depth::usual);
  CHECK_EQ(first.value().signatures, 3);
  ward.take(openings(3, 20));
  const auto second = verify(ward.ledger(), Depth::usual);
  CHECK_EQ(second.value().signatures, 1);
  CHECK_EQ(second.value().signed_before, 11);
  CHECK_EQ(verify(ward.ledger(), Depth::full).value().signatures, 4);
}

TEST_CASE("a head marked by another secret spares nothing") {
  WardLedger ward;
  ward.take(openings(3));
  CHECK_EQ(verify(ward.ledger(), Depth::usual).value().signatures, 2);
  REQUIRE(ward.ledger().file().database().run("UPDATE verified SET mark = randomblob(32)").ok());
  CHECK_EQ(verify(ward.ledger(), Depth::usual).value().signatures, 2);
}

TEST_CASE("a checkpoint is signed by the ledger's key and of the tree as it is") {
  WardLedger ward;
  ward.take(openings(4));
  const auto bytes = ward.ledger().sign_checkpoint();
  REQUIRE(bytes.ok());
  const auto note = log::parse_note(bytes.value());
  REQUIRE(note.ok());
  CHECK(log::is_signed_by(note.value(), ward.ledger().ledger_key()));
  const auto checkpoint = log::parse_checkpoint(note.value());
  REQUIRE(checkpoint.ok());
  CHECK_EQ(checkpoint.value().origin, ward.ledger().origin());
  CHECK_EQ(checkpoint.value().head.size, 9U);
  std::vector<Digest> leaves;
  for (std::int64_t seq = 1; seq <= 9; ++seq) leaves.push_back(log::leaf_hash(ward.bytes_of(seq)));
  CHECK(checkpoint.value().head.root == log::root_of(leaves));
  CHECK(ward.ledger().checkpoints().value() == std::vector<std::string>{bytes.value()});
  ward.take(openings(4, 10));
  CHECK(problems(ward.ledger()).empty());
  CHECK_EQ(verify(ward.ledger(), Depth::usual).value().checkpoints, 1);
}
