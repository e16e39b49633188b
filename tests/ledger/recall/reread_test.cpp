// What an answer cites is read again; tables that say otherwise, or an entry that was changed, stop the answer. Opening
// a recall, standing exposure, and requests as JSON.
#include "ledger/crypto/hash.h"
#include "ledger/recall/exposure.h"
#include "ledger/recall/opening.h"
#include "tests/ledger/links/story.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;
using recall::Because;

namespace {

void tell_a_load(Story& story) {
  story.tell("packed", "05T05:00", R"("pack":"A","set":"S1","wrap":"wrapped")");
  story.tell("packed", "05T05:00", R"("pack":"B","set":"S2","wrap":"wrapped")");
  story.tell("load-started", "05T06:00",
             R"("load":"L1","method":"steam-gravity","equipment":"AC-1","packs":["A","B"])");
  story.tell("load-ended", "05T06:40", R"("load":"L1","complete":true)");
  story.tell("load-released", "05T07:00", R"("load":"L1")");
  story.tell("pack-stored", "05T07:10", R"("pack":"B","place":"shelf 1")");
  story.tell("procedure-done", "05T08:00",
             R"("procedure":"D1","sort":"delivery","place":"room 1","packs":["A"],"patient":"MRN-10001")");
}

}  // namespace

TEST_CASE("an answer cites every entry it rests on") {
  Story story;
  tell_a_load(story);
  const auto answer = story.recall(because_load(Because::load_failed, "L1"));
  REQUIRE(answer.ok());
  CHECK(answer.value().cited == std::vector<std::int64_t>{6, 7, 8, 9, 10, 11, 12});
}

TEST_CASE("tables that say something else than the entries stop the answer") {
  for (const char* change :
       {"UPDATE loads SET start_ms = start_ms + 1", "UPDATE loads SET equipment = 'AC-2'",
        "UPDATE loads SET end_ms = end_ms - 1", "UPDATE loads SET decision = 'rejected'",
        "DELETE FROM load_packs WHERE pack = 'B'",
        "UPDATE load_packs SET standing = 'held', standing_seq = NULL WHERE pack = 'A'",
        "UPDATE load_packs SET place = 'shelf 9' WHERE pack = 'B'",
        "UPDATE load_packs SET \"set\" = 'S9' WHERE pack = 'B'", "UPDATE uses SET pack = 'B'", "DELETE FROM uses",
        "UPDATE procedure_done SET patient = NULL", "UPDATE procedure_done SET place = 'room 2'",
        "UPDATE packs SET packed_seq = 8 WHERE pack = 'B'"}) {
    INFO(std::string(change));
    Story story;
    tell_a_load(story);
    REQUIRE(story.links().database().run(change).ok());
    const auto answer = story.recall(because_load(Because::load_failed, "L1"));
    REQUIRE_FALSE(answer.ok());
    CHECK(answer.error().code() == ErrorCode::corrupt);
  }
}

TEST_CASE("an entry that was changed under the tables stops the answer") {
  Story story;
  tell_a_load(story);
  story.links();
  store::Database& file = story.ledger().file().database();
  REQUIRE(file.run("DROP TRIGGER entries_never_change").ok());
  REQUIRE(file.run("UPDATE entries SET entry = replace(entry, 'room 1', 'room 2')").ok());
  const auto answer = story.recall(because_load(Because::load_failed, "L1"));
  REQUIRE_FALSE(answer.ok());
  CHECK(answer.error().code() == ErrorCode::corrupt);
}

TEST_CASE("opening a recall keeps the answer without its seconds and names it by its hash") {
  Story story;
  tell_a_load(story);
  const auto answer = story.recall(because_load(Because::load_failed, "L1"));
  REQUIRE(answer.ok());
  const auto opened = recall::open_recall(story.ledger(), answer.value(), {"R1", recall::Purpose::drill, "p-2"});
  REQUIRE(opened.ok());
  REQUIRE(opened.value().taken == 1);
  const json::Value entry = story.ward().entry(opened.value().last);
  CHECK(entry.text_at("kind") == "recall-opened");
  CHECK(entry.text_at("because") == "load-failed");
  CHECK(entry.bool_at("drill") == true);
  CHECK(entry.number_at("known_at") == 12.0);
  CHECK(json::canonical(*entry.find("subject")) == R"({"load":"L1"})");
  const std::string bytes = recall::canonical(answer.value());
  CHECK(entry.text_at("answer") == hex(crypto::sha256(as_bytes(bytes))));
  CHECK_FALSE(holds(bytes, "seconds"));
  Digest digest{};
  REQUIRE(from_hex(*entry.text_at("answer"), digest));
  const auto kept = story.ledger().attachment(digest);
  REQUIRE(kept.ok());
  CHECK(as_text(kept.value()) == bytes);
  // The same question at the recall's own two times gives the same answer, whatever was recorded since.
  story.tell("pack-opened", "05T11:00", R"("pack":"B")");
  auto again = recall::request_of("load-failed", *entry.find("subject"));
  REQUIRE(again.ok());
  again.value().as_of = answer.value().as_of;
  again.value().known_at = answer.value().known_at;
  CHECK(recall::canonical(story.recall(again.value()).value()) == bytes);
  CHECK(story.ask("SELECT because || drill || coalesce(closed_seq, 'open') FROM recalls") == "load-failed1open");
  // The same id is taken only once.
  const auto twice = recall::open_recall(story.ledger(), answer.value(), {"R1", recall::Purpose::real, "p-2"});
  REQUIRE(twice.ok());
  CHECK(twice.value().refusals.size() == 1);
}

TEST_CASE("standing exposure is what the next positive test would reach") {
  Story story;
  story.tell("equipment-registered", "01T05:00", R"("equipment":"AC-1","sort":"steam-sterilizer")");
  story.tell("equipment-registered", "01T05:00", R"("equipment":"OVEN","sort":"dry-heat-sterilizer")");
  story.tell("equipment-registered", "01T05:00", R"("equipment":"LOG","sort":"data-logger")");
  tell_a_load(story);
  story.tell("load-started", "05T09:00", R"("load":"L2","method":"steam-gravity","equipment":"AC-1","packs":["C"])");
  auto before = recall::exposure(story.links(), story.ledger().editions().value());
  REQUIRE(before.ok());
  CHECK(json::plain(*recall::to_json(before.value()).find("sterilizers")) ==
        R"([{"equipment":"AC-1","last_valid_negative":null,"loads":2,"packs":3,"procedures":1,"patients":1},)"
        R"({"equipment":"OVEN","last_valid_negative":null,"loads":0,"packs":0,"procedures":0,"patients":0}])");
  story.tell("biological-read", "05T11:00", R"("load":"L1","hours":48,"result":"negative","control":"growth")");
  auto after = recall::exposure(story.links(), story.ledger().editions().value());
  REQUIRE(after.ok());
  CHECK(after.value().sterilizers[0].loads == 1);
  CHECK(after.value().sterilizers[0].packs == 1);
  CHECK(after.value().sterilizers[0].last_valid_negative->load == "L1");
}

TEST_CASE("a request goes into its subject and comes back") {
  const Zone zone = Zone::utc();
  for (const auto& [because, subject] :
       {std::pair("biological-positive", R"({"load":"L1"})"),
        std::pair("indicator-failed", R"({"load":"L1","pack":"P1"})"),
        std::pair("equipment-out-of-tolerance",
                  R"({"at":"2026-10-05T01:00:00+00:00","check":"service","equipment":"AC-1"})"),
        std::pair("air-removal-failed", R"({"at":"2026-10-05T01:00:00+00:00","equipment":"AC-1"})"),
        std::pair("solution-weak", R"({"solution":"S"})"), std::pair("lot-withdrawn", R"({"lot":"X"})"),
        std::pair("index-patient", R"({"procedure":"D1"})"),
        std::pair("chosen", R"({"packs":["P2","P1"],"why":"soiled"})")}) {
    INFO(std::string(because));
    const auto request = recall::request_of(because, json::parse(subject).value());
    REQUIRE(request.ok());
    CHECK(json::canonical(recall::subject_of(request.value(), zone)) == subject);
  }
  CHECK_FALSE(recall::request_of("no-such-thing", json::Value::object()).ok());
  CHECK_FALSE(recall::request_of("air-removal-failed", json::Value::object().set("equipment", "AC-1")).ok());
}
