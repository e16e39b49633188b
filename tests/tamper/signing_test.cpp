// Chains and signatures made by somebody who holds the keys and bends the rules of docs/ledger-format.md: which seq is
// named, and for what.
#include "ledger/base/limits.h"
#include "tests/support/test.h"
#include "tests/tamper/forgery.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

crypto::SigningKey some_key(std::uint8_t number) {
  Digest seed{};
  seed.fill(number);
  return crypto::SigningKey::from_seed(seed);
}

}  // namespace

TEST_CASE("what the station itself could have written holds") {
  WardLedger ward;
  Forgery forgery(ward);
  const std::int64_t first = forgery.add_opening({.is_signed = false});
  forgery.add_opening({.is_signed = false});
  forgery.add_opening({.signs = json::Value(first)});
  forgery.add_opening();
  CHECK_EQ(forgery.first_problem(), "nothing");
}

TEST_CASE("an event that says another seq or another predecessor than its place is named") {
  for (const std::int64_t off : {-5, -1, 1, 1000}) {
    WardLedger ward;
    Forgery forgery(ward);
    forgery.add_opening();
    forgery.add_opening({.seq = first_seq + 1 + off});
    forgery.add_opening();
    CHECK(forgery.first_problem().starts_with(std::to_string(first_seq + 1) + ": the entry says another seq"));
  }
  WardLedger ward;
  Forgery forgery(ward);
  forgery.add_opening();
  forgery.add_opening({.prev = Digest{}});
  CHECK(forgery.first_problem().starts_with(std::to_string(first_seq + 1) + ": the entry does not name the hash"));
}

TEST_CASE("an event of another format is named") {
  WardLedger ward;
  Forgery forgery(ward);
  forgery.add_opening({.format = 2});
  CHECK(forgery.first_problem().starts_with(std::to_string(first_seq) + ": the entry is not of format 1"));
}

TEST_CASE("an event signed by another key than it names or by a key that nobody added is named") {
  {
    WardLedger ward;
    Forgery forgery(ward);
    forgery.add_opening({.signer = some_key(7)});
    forgery.add_opening();
    CHECK(forgery.first_problem().starts_with(std::to_string(first_seq) + ": the signature does not fit"));
  }
  {
    WardLedger ward;
    Forgery forgery(ward);
    forgery.add_opening({.key = some_key(7)});
    CHECK(forgery.first_problem().starts_with(std::to_string(first_seq) +
                                              ": the entry is signed by a key that was never"));
  }
  {
    WardLedger ward;
    Forgery forgery(ward);
    forgery.add_opening({.key = forgery.keys().ledger_key});
    CHECK(forgery.first_problem().starts_with(std::to_string(first_seq) + ": the entry is signed by the ledger's key"));
  }
}

TEST_CASE("a signature covers no event of another key") {
  WardLedger ward;
  Forgery forgery(ward);
  const crypto::SigningKey other = some_key(9);
  forgery.add_key(other, "station-2", "station");
  const std::int64_t unsigned_one = forgery.add_opening({.is_signed = false});
  forgery.add_opening({.key = other, .signs = json::Value(std::int64_t{1})});
  CHECK_EQ(forgery.first_problem(), std::to_string(unsigned_one) + ": no signature covers the entry");
  // The own key's next one covers both sides of it.
  forgery.add_opening({.key = other, .is_signed = false});
  forgery.add_opening({.signs = json::Value(unsigned_one)});
  CHECK_EQ(forgery.first_problem(), std::to_string(unsigned_one + 2) + ": no signature covers the entry");
  forgery.add_opening({.key = other, .signs = json::Value(unsigned_one + 2)});
  CHECK_EQ(forgery.first_problem(), "nothing");
}

TEST_CASE("a signature reaches back as far as it says and no farther than ten thousand") {
  struct Row {
    std::int64_t between;
    bool holds;
  };
  for (const Row& row : {Row{limits::signed_events_max - 1, true}, Row{limits::signed_events_max, false}}) {
    WardLedger ward;
    Forgery forgery(ward);
    REQUIRE(ward.ledger().file().database().begin().ok());
    const std::int64_t first = forgery.add_opening({.is_signed = false});
    for (std::int64_t i = 0; i < row.between; ++i) forgery.add_opening({.is_signed = false});
    forgery.add_opening({.signs = json::Value(first)});
    REQUIRE(ward.ledger().file().database().commit().ok());
    INFO(row.between);
    CHECK_EQ(forgery.first_problem(),
             row.holds ? std::string("nothing") : std::to_string(first) + ": no signature covers the entry");
  }
  WardLedger ward;
  Forgery forgery(ward);
  const std::int64_t first = forgery.add_opening({.is_signed = false});
  forgery.add_opening({.is_signed = false});
  forgery.add_opening({.signs = json::Value(first + 1)});
  CHECK_EQ(forgery.first_problem(), std::to_string(first) + ": no signature covers the entry");
}

TEST_CASE("a word about what is signed that is no seq before its own covers nothing") {
  for (const json::Value& signs :
       {json::Value("6"), json::Value(), json::Value(true), json::Value(std::int64_t{999}), json::Value::list()}) {
    WardLedger ward;
    Forgery forgery(ward);
    const std::int64_t first = forgery.add_opening({.is_signed = false});
    forgery.add_opening({.signs = signs});
    CHECK_EQ(forgery.first_problem(), std::to_string(first) + ": no signature covers the entry");
  }
}

TEST_CASE("an added key that does not prove itself is named") {
  WardLedger ward;
  Forgery forgery(ward);
  json::Value body = event_of(R"({"kind":"key-added","at":"2026-10-05T11:00:00+05:00","by":"station-1"})");
  body.set("public", hex(some_key(3).public_key())).set("owner", "station-2").set("sort", "station");
  body.set("proof", std::string(128, '0'));
  const std::int64_t seq = forgery.add({.body = std::move(body)});
  REQUIRE(ward.ledger().file().put_landmark("key-added", seq).ok());
  CHECK(forgery.first_problem().starts_with(std::to_string(seq) + ": the added key does not prove"));
}
