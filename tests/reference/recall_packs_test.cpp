// The reference against answers worked out by hand from docs/recall.md: standings, uses, the two times, policy.
#include "tests/reference/tale.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::reference;

TEST_CASE("each standing is the first that fits") {
  Tale tale;
  run(tale, "01", "L1", R"("P1","P2","P3","P4","P5","P6","P7","P8")");
  tale.tell("02T08:00", "procedure-done",
            R"({"procedure":"Q1","patient":"aa","sort":"delivery","place":"room 1","packs":["P1"]})");
  tale.tell("02T07:00", "pack-withdrawn", R"({"pack":"P1","why_withdrawn":"torn"})");
  tale.tell("02T08:00", "pack-returned", R"({"pack":"P2","state":"opened"})");
  tale.tell("02T08:00", "pack-withdrawn", R"({"pack":"P3","why_withdrawn":"wet"})");
  run(tale, "03", "L2", R"("P4")");
  tale.tell("02T08:00", "pack-issued", R"({"pack":"P5","place":"theatre"})");
  tale.tell("02T07:00", "pack-stored", R"({"pack":"P5","place":"shelf 1"})");
  tale.tell("02T08:00", "pack-issued", R"({"pack":"P6","place":"theatre"})");
  tale.tell("02T09:00", "pack-stored", R"({"pack":"P6","place":"shelf 2"})");
  // Before the load ended: it says nothing about what the load made of the pack.
  tale.tell("01T08:15", "pack-issued", R"({"pack":"P7","place":"theatre"})");
  // After the next load: it is the next load's pack.
  run(tale, "03", "L3", R"("P8")");
  tale.tell("04T08:00", "procedure-done",
            R"({"procedure":"Q2","patient":"aa","sort":"delivery","place":"room 1","packs":["P8"]})");
  const auto answer = tale.ask(about_load("load-failed", "L1"));
  CHECK(packs_in(answer) ==
        "P1:used@L1 P2:opened@L1 P3:withdrawn@L1 P4:reprocessed@L1 P5:issued@L1 P6:shelf@L1 P7:held@L1 "
        "P8:reprocessed@L1");
  CHECK(procedures_in(answer) == "Q1(P1/L1)");
  CHECK(count_in(answer, "packs") == 8);
  CHECK(count_in(answer, "reprocessed") == 2);
  CHECK(answer.find("packs")->items()[0].text_at("place") == "room 1");
  CHECK(answer.find("packs")->items()[5].text_at("place") == "shelf 2");
}

TEST_CASE("a later load that was rejected or cut short does not make a pack reprocessed") {
  Tale tale;
  run(tale, "01", "L1", R"("P1","P2","P3")");
  run(tale, "02", "L2", R"("P1")");
  tale.tell("02T09:00", "load-rejected", R"({"load":"L2","why":"x"})");
  tale.tell("02T08:00", "load-started", R"({"load":"L3","method":"dry-heat","equipment":"E1","packs":["P2"]})");
  tale.tell("02T08:30", "load-ended", R"({"load":"L3","complete":false})");
  run(tale, "02", "L4", R"("P3")");
  tale.tell("02T09:00", "load-rejected", R"({"load":"L4","why":"x"})");
  tale.tell("02T10:00", "load-released", R"({"load":"L4"})");
  CHECK(packs_in(tale.ask(about_load("load-failed", "L1"))) == "P1:held@L1 P2:held@L1 P3:reprocessed@L1");
}

TEST_CASE("a use belongs to the latest load that ended before it") {
  Tale tale;
  run(tale, "01", "L1", R"("P1")");
  run(tale, "02", "L2", R"("P1")");
  run(tale, "02", "L3", R"("P1")");
  const auto use = [&](const std::string& id, const std::string& when, const std::string& more) {
    tale.tell(when, "procedure-done",
              R"({"procedure":")" + id + R"(","sort":"delivery","place":"x","packs":["P1"])" + more + "}");
  };
  use("Q1", "02T08:29", "");
  use("Q2", "02T08:30", "");
  use("Q3", "02T08:00", R"(,"until":"2024-05-02T08:45:00+00:00")");
  use("Q4", "01T07:00", "");
  CHECK(procedures_in(tale.ask(about_load("load-failed", "L1"))) == "Q1(P1/L1)");
  // L2 and L3 ended together: the higher id is the latest.
  CHECK(procedures_in(tale.ask(about_load("load-failed", "L2"))).empty());
  const auto answer = tale.ask(about_load("load-failed", "L3"));
  CHECK(procedures_in(answer) == "Q3(P1/L3) Q2(P1/L3)");
  CHECK(count_in(answer, "patients_unknown") == 2);
}

TEST_CASE("a use known to the day only counts for each load that may have served it") {
  Tale tale;
  run(tale, "01", "L1", R"("P1")");
  run(tale, "02", "L2", R"("P1")");
  tale.tell("02T00:00", "procedure-done",
            R"({"procedure":"Q1","precision":"day","sort":"delivery","place":"x","packs":["P1"],)"
            R"("patient":"aa","newborns":["bb"]})");
  tale.tell("03T00:00", "procedure-done",
            R"({"procedure":"Q2","precision":"day","sort":"delivery","place":"x","packs":["P1"],)"
            R"("patient":"aa","newborns_without_number":2})");
  CHECK(procedures_in(tale.ask(about_load("load-failed", "L1"))) == "Q1(P1/L1)");
  RecallRequest both = because("chosen");
  both.loads = {"L1", "L2"};
  both.why = "x";
  const auto answer = tale.ask(both);
  CHECK(procedures_in(answer) == "Q1(P1/L1 P1/L2) Q2(P1/L2)");
  CHECK(count_in(answer, "patients") == 2);
  CHECK(count_in(answer, "newborns_without_number") == 2);
}

TEST_CASE("packs moved out of a load are not in it and packs moved in are") {
  Tale tale;
  run(tale, "01", "L1", R"("P1","P2")");
  tale.tell("01T08:10", "load-changed", R"({"load":"L1","added":["P3","P4"],"removed":["P1"]})");
  tale.tell("01T09:10", "load-changed", R"({"load":"L1","removed":["P4"]})");
  CHECK(packs_in(tale.ask(about_load("load-failed", "L1"))) == "P2:held@L1 P3:held@L1");
}

TEST_CASE("corrections count as of any time and only once they are known") {
  Tale tale;
  tale.tell("01T08:00", "load-started", R"({"load":"L1","method":"dry-heat","equipment":"E1","packs":["P1"]})");
  const auto started = tale.entries().back();
  const auto use =
      tale.tell("02T08:00", "procedure-done", R"({"procedure":"Q1","sort":"delivery","place":"x","packs":["P1"]})");
  const std::string replacement =
      R"({"kind":"load-started","at":"2024-05-01T08:00:00+00:00","by":"person-1","load":"L1",)"
      R"("method":"dry-heat","equipment":"E1","packs":)";
  const auto first =
      tale.tell("09T08:00", "corrected", R"({"of":1,"why":"x","replacement":)" + replacement + R"(["P2"]}})");
  tale.tell("09T09:00", "corrected",
            R"({"of":)" + std::to_string(first) + R"(,"why":"x","replacement":)" + replacement + R"(["P3","P1"]}})");
  tale.tell("09T10:00", "corrected", R"({"of":)" + std::to_string(use) + R"(,"why":"x","replacement":null})");
  RecallRequest request = about_load("load-failed", "L1");
  CHECK(packs_in(tale.ask(request)) == "P1:held@L1 P3:held@L1");
  request.as_of = may("01T12:00");
  CHECK(packs_in(tale.ask(request)) == "P1:held@L1 P3:held@L1");
  request.known_at = use;
  CHECK(packs_in(tale.ask(request)) == "P1:held@L1");
  request.as_of = may("02T08:00");
  const auto answer = tale.ask(request);
  CHECK(packs_in(answer) == "P1:used@L1");
  CHECK(answer.number_at("known_at") == 2);
  CHECK(answer.text_at("as_of") == "2024-05-02T08:00:00+00:00");
  request.known_at = first;
  CHECK(packs_in(tale.ask(request)) == "P2:held@L1");
}

TEST_CASE("repeat first holds back only what good steam loads reached without an implant") {
  Tale tale;
  tale.tell("01T00:00", "sop-adopted",
            R"({"title":"x","in_force":"2024-05-01T00:00:00+00:00",)"
            R"("toml":"[sop]\ntitle=\"x\"\n[recall]\npolicy=\"repeat-first\"\n"})");
  tale.tell("01T01:00", "set-defined", R"({"set":"T1","title":"x","items":[],"contact":"critical","implant":true})");
  tale.tell("01T06:00", "packed", R"({"pack":"P1","set":"T1","wrap":"pouch"})");
  tale.tell("01T06:00", "packed", R"({"pack":"P2","set":"T2","wrap":"pouch"})");
  run(tale, "01", "L1", R"("P1","P2")");
  tale.tell("01T09:00", "indicator-read", R"({"load":"L1","result":"pass"})");
  run(tale, "02", "L2", R"("P3")");
  tale.tell("03T08:00", "load-started", R"({"load":"L3","method":"steam-gravity","equipment":"E1","packs":["P4"]})");
  tale.tell("03T08:30", "load-ended", R"({"load":"L3","complete":true})");
  tale.tell("04T08:00", "procedure-done",
            R"({"procedure":"Q1","sort":"delivery","place":"x","packs":["P2"],"patient":"aa"})");
  tale.tell("04T09:00", "procedure-done",
            R"({"procedure":"Q2","sort":"delivery","place":"x","packs":["P3"],"patient":"bb"})");
  const auto answer = tale.ask(about_load("biological-positive", "L1"));
  CHECK(json::canonical(*answer.find("policy")) ==
        R"({"at-once":{"packs":4,"patients":2,"procedures":2},"in_force":"repeat-first",)"
        R"("repeat-first":{"packs":3,"patients":1,"procedures":1}})");
  CHECK(answer.find("policy")->members()[1].name == "repeat-first");
  // L1 has reading and indicator, L2 a reading only, L3 nothing.
  CHECK(count_in(answer, "evidence_missing") == 1);
  CHECK(answer.find("loads")->items()[2].text_at("evidence") == "missing");
  tale.tell("01T10:00", "indicator-read", R"({"pack":"P2","result":"fail"})");
  CHECK(tale.ask(about_load("biological-positive", "L1")).find("policy")->find("repeat-first")->number_at("packs") ==
        4);
}

TEST_CASE("released is the latest decision and times are those of the facility") {
  Tale tale;
  tale.tell("01T00:00", "facility-described", R"({"title":"x","zone":"Asia/Kathmandu","altitude_m":0})");
  run(tale, "01", "L1", "");
  tale.tell("01T09:00", "load-released", R"({"load":"L1"})");
  const auto load = [&] { return tale.ask(about_load("load-failed", "L1")).find("loads")->items()[0]; };
  CHECK(load().text_at("started") == "2024-05-01T13:45:00+05:45");
  CHECK(load().text_at("released") == "2024-05-01T14:45:00+05:45");
  tale.tell("01T10:00", "load-rejected", R"({"load":"L1","why":"x"})");
  CHECK(load().find("released")->is_null());
}
