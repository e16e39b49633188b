// docs/ledger-format.md, "What a newer program wrote": kept, verified and exported, and never in the way.
#include "ledger/content.h"
#include "ledger/log/chain.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

// Writes an entry as another program would: by the file below, signed with the station's key.
std::int64_t put(WardLedger& ward, const std::string& members) {
  store::LedgerFile& file = ward.ledger().file();
  const people::KeyFile& keys = *ward.ledger().keys();
  const auto head = file.head().value();
  const std::int64_t seq = head.seq + 1;
  json::Value event = event_of("{" + members + "}");
  event.set("v", 1).set("seq", seq).set("prev", hex(head.hash)).set("key", hex(keys.station_key.public_key()));
  event.set("recorded", "2026-10-05T07:00:00.000Z").set("station", "station-1");
  const std::string bytes = json::canonical(event);
  const Digest hash = log::leaf_hash(bytes);
  const auto signature = keys.station_key.sign(hash);
  auto transaction = file.begin();
  REQUIRE(transaction.ok());
  REQUIRE(file.insert({.seq = seq, .bytes = bytes, .hash = hash, .sig = signature},
                      {.slip = {}, .content = content_digest(event)})
              .ok());
  const std::string text = "latest " + std::to_string(seq) + " " + hex(hash);
  REQUIRE(
      file.put_latest({.size = seq, .hash = hash, .mark = crypto::keyed_mark(keys.mark_secret, as_bytes(text))}).ok());
  REQUIRE(transaction.value().commit().ok());
  return seq;
}

const std::string opening = R"({"kind":"pack-opened","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":"PK-1"})";

}  // namespace

TEST_CASE("an unknown kind is kept and verified and the ledger goes on after it") {
  WardLedger ward;
  const std::int64_t seq =
      put(ward, R"("kind":"pack-weighed","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":"PK-1","weight_g":812.5)");
  ward.reopen();
  CHECK(ward.ledger().writable());
  CHECK(ward.entry(seq).number_at("weight_g") == 812.5);
  CHECK(problems(ward.ledger()).empty());
  ward.take(opening);
  CHECK(problems(ward.ledger()).empty());
  CHECK(ward.ledger().sign_checkpoint().ok());
}

TEST_CASE("an unknown field of a known kind is kept and verified") {
  WardLedger ward;
  const std::int64_t seq =
      put(ward, R"("kind":"packed","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":"PK-1","set":"DS-1",)"
                R"("wrap":"wrapped","layers":2,"maker":{"note2":"x"})");
  ward.reopen();
  CHECK(ward.entry(seq).number_at("layers") == 2.0);
  ward.take(opening);
  // The id is known from the entry itself, though the writer kept no index row: verify tells that.
  CHECK(any_holds(problems(ward.ledger()), "index of ids"));
}

TEST_CASE("an unknown kind cannot be corrected and is said so") {
  WardLedger ward;
  put(ward, R"("kind":"pack-weighed","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":"PK-1")");
  const auto refusals = ward.refusals(
      R"({"kind":"corrected","at":"2026-10-05T10:00:00+05:00","by":"ben","of":6,"why":"x","replacement":null})");
  REQUIRE(refusals.size() == 1);
  CHECK(holds(refusals[0], "pack-weighed"));
}

TEST_CASE("a known kind with values of other shapes stops nothing") {
  WardLedger ward;
  put(ward, R"("kind":"packed","at":7,"by":null,"pack":{"id":"PK-1"},"set":["DS-1"],"wrap":true)");
  put(ward, R"("kind":"corrected","at":"2026-10-05T09:00:00+05:00","by":"ana","of":"six","replacement":7,"why":8)");
  put(ward,
      R"("kind":"procedure-done","at":"2026-10-05T09:00:00+05:00","by":"ana","procedure":"P-1","patient":{"a":1},"newborns":7,"packs":null)");
  put(ward, R"("kind":"key-added","public":"x","owner":1,"sort":2,"proof":3)");
  put(ward, R"("kind":9)");
  put(ward, R"("x":{"y":[1,2,{"z":null}]})");
  ward.reopen();
  CHECK(!any_holds(problems(ward.ledger()), "not possible"));
  ward.take(opening);
  CHECK_EQ(ward.size(), 12);
}
