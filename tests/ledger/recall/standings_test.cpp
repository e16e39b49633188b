// docs/recall.md, "Affected packs", "Policy", "Two times": answers worked out by hand.
#include "tests/ledger/links/story.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;
using recall::Because;

namespace {

void load(Story& story, const std::string& id, const std::string& hour, const std::string& packs,
          const std::string& more = "") {
  story.tell("load-started", "05T" + hour + ":00",
             R"("load":")" + id + R"(","method":"steam-gravity","equipment":"AC-1","packs":[)" + packs + "]");
  story.tell("load-ended", "05T" + hour + ":40", R"("load":")" + id + R"(","complete":true)" + more);
}

recall::Answer failed(Story& story, const std::string& id) {
  const auto answer = story.recall(because_load(Because::load_failed, id));
  REQUIRE_MESSAGE(answer.ok(), (answer.ok() ? "" : answer.error().sentence()));
  return answer.value();
}

}  // namespace

TEST_CASE("each pack of a failed load has the first standing that fits") {
  Story story;
  for (const char* pack : {"A", "B", "C", "D", "E", "F", "G", "H"}) {
    story.tell("packed", "05T05:00",
               R"("pack":")" + std::string(pack) + R"(","set":"S)" + pack + R"(","wrap":"wrapped")");
  }
  load(story, "L1", "06", R"("A","B","C","D","E","F","G","H")");
  story.tell("procedure-done", "05T07:00", R"("procedure":"D1","sort":"delivery","place":"room 1","packs":["A"])");
  story.tell("pack-opened", "05T07:00", R"("pack":"B","place":"ward")");
  story.tell("pack-withdrawn", "05T07:00", R"("pack":"C","why_withdrawn":"torn")");
  story.tell("pack-issued", "05T07:00", R"("pack":"E","place":"ward 2")");
  story.tell("pack-stored", "05T07:00", R"("pack":"F","place":"shelf 3")");
  story.tell("pack-stored", "05T05:30", R"("pack":"G","place":"shelf 1")");  // before the load: not its relevant load
  story.tell("pack-returned", "05T07:00", R"("pack":"H","state":"opened")");
  load(story, "L2", "08", R"("D")");
  const auto answer = failed(story, "L1");
  CHECK(standings_of(answer) == "A:used B:opened C:withdrawn D:reprocessed E:issued F:shelf G:held H:opened");
  CHECK(answer.packs[0].place == "room 1");
  CHECK(answer.packs[4].place == "ward 2");
  CHECK(answer.still_to_fetch() == 3);
  CHECK(answer.counts.packs == 8);
}

TEST_CASE("a later load reprocesses only when it is complete and not rejected and not affected") {
  Story story;
  load(story, "L1", "06", R"("A","B","C")");
  story.tell("load-started", "05T07:00", R"("load":"L2","method":"steam-gravity","equipment":"AC-1","packs":["A"])");
  story.tell("load-ended", "05T07:40", R"("load":"L2","complete":false)");
  load(story, "L3", "08", R"("B")");
  story.tell("load-rejected", "05T09:00", R"("load":"L3","why":"wet")");
  load(story, "L4", "10", R"("C")");
  CHECK(standings_of(failed(story, "L1")) == "A:held B:held C:reprocessed");
  recall::Request both;
  both.because = Because::chosen;
  both.loads = {"L1", "L4"};
  both.why = "wrong programme";
  const auto answer = story.recall(both);
  REQUIRE(answer.ok());
  CHECK(standings_of(answer.value()) == "A:held B:held C:held");
  CHECK(answer.value().packs[2].load == "L4");
}

TEST_CASE("a use after a later load is not reached and a use while times are coarse has an entry for each load") {
  Story story;
  load(story, "L1", "06", R"("A","B")");
  load(story, "L2", "08", R"("A","B")");
  story.tell("procedure-done", "05T09:00", R"("procedure":"D1","sort":"delivery","place":"room 1","packs":["A"])");
  story.tell("procedure-done", "05T08:10",
             R"("procedure":"D2","sort":"delivery","place":"room 1","packs":["B"],"precision":"hour")");
  const auto answer = failed(story, "L1");
  CHECK(procedures_of(answer.procedures) == "D2(B@L1)");
  CHECK(standings_of(answer) == "A:reprocessed B:used");
  recall::Request both;
  both.because = Because::chosen;
  both.loads = {"L1", "L2"};
  both.why = "both";
  CHECK(procedures_of(story.recall(both).value().procedures) == "D2(B@L1,B@L2) D1(A@L2)");
}

TEST_CASE("the time of a use is its end") {
  Story story;
  load(story, "L1", "06", R"("A")");
  story.tell(
      "procedure-done", "05T06:10",
      R"("procedure":"D1","sort":"delivery","place":"room 1","packs":["A"],"until":"2026-10-05T06:40:00+05:00")");
  CHECK(procedures_of(failed(story, "L1").procedures) == "D1(A@L1)");
}

TEST_CASE("patients are counted once and those without a number apart") {
  Story story;
  load(story, "L1", "06", R"("A","B","C","D")");
  story.tell(
      "procedure-done", "05T07:00",
      R"("procedure":"D1","sort":"delivery","place":"r","packs":["A"],"patient":"MRN-10001","newborns":["MRN-10002"])");
  story.tell("procedure-done", "05T08:00",
             R"("procedure":"D2","sort":"delivery","place":"r","packs":["B"],"patient":"MRN-10001")");
  story.tell("procedure-done", "05T09:00",
             R"("procedure":"D3","sort":"delivery","place":"r","packs":["C","D"],"newborns_without_number":2)");
  const auto answer = failed(story, "L1");
  CHECK(answer.counts.procedures == 3);
  CHECK(answer.counts.patients == 2);
  CHECK(answer.counts.patients_unknown == 1);
  CHECK(answer.counts.newborns_without_number == 2);
  const auto calls = recall::call_list(answer);
  REQUIRE(calls.size() == 3);
  CHECK(calls[2].packs == "C D");
  CHECK(calls[0].at == "2026-10-05T07:00:00+05:00");
  CHECK(calls[0].patient.size() == 32);
}

TEST_CASE("repeat first counts implants and whatever a load reached that does not bear itself out") {
  Story story;
  story.tell("set-defined", "01T08:00",
             R"("set":"PLATES","title":"Plates","items":[],"contact":"critical","implant":true)");
  story.tell("packed", "05T05:00", R"("pack":"A","set":"PLATES","wrap":"wrapped")");
  load(story, "L1", "06", R"("A","B","C")", R"(,"temperature_c":121.5)");
  story.tell("indicator-read", "05T07:00", R"("load":"L1","result":"pass")");
  story.tell("procedure-done", "05T08:00",
             R"("procedure":"D1","sort":"delivery","place":"r","packs":["A"],"patient":"MRN-10001")");
  story.tell("procedure-done", "05T09:00",
             R"("procedure":"D2","sort":"delivery","place":"r","packs":["B"],"patient":"MRN-10002")");
  const auto answer = failed(story, "L1");
  CHECK(answer.at_once.packs == 3);
  CHECK(answer.repeat_first.packs == 1);
  CHECK(answer.repeat_first.procedures == 1);
  CHECK(answer.repeat_first.patients == 1);
  story.tell("indicator-read", "05T09:00", R"("pack":"C","result":"fail")");
  CHECK(failed(story, "L1").repeat_first.packs == 3);
  const auto json = recall::to_json(failed(story, "L1"));
  CHECK(
      json::canonical(*json.find("policy")) ==
      R"({"at-once":{"packs":3,"patients":2,"procedures":2},"in_force":"at-once","repeat-first":{"packs":3,"patients":2,"procedures":2}})");
}

TEST_CASE("evidence is missing where no reading of any kind stands") {
  Story story;
  load(story, "L1", "06", "");
  load(story, "L2", "07", "", R"(,"hold_min":15)");
  CHECK(failed(story, "L1").counts.evidence_missing == 1);
  CHECK(failed(story, "L2").counts.evidence_missing == 0);
}

TEST_CASE("as of a moment and known at a seq are answered from what stood then") {
  Story story;
  load(story, "L1", "06", R"("A")");
  story.tell("pack-stored", "05T07:00", R"("pack":"A","place":"shelf 1")");
  const auto known = story.tell("pack-issued", "05T08:00", R"("pack":"A","place":"ward")");
  const auto done =
      story.tell("procedure-done", "05T09:00", R"("procedure":"D1","sort":"delivery","place":"r","packs":["A"])");
  auto request = because_load(Because::load_failed, "L1");
  request.as_of = Story::at("05T07:30");
  CHECK(standings_of(story.recall(request).value()) == "A:shelf");
  CHECK(story.answer(request).text_at("as_of") == "2026-10-05T07:30:00+05:00");
  request.as_of.reset();
  request.known_at = known;
  CHECK(standings_of(story.recall(request).value()) == "A:issued");
  CHECK(story.answer(request).number_at("known_at") == static_cast<double>(known));
  story.correct(done, "null");
  request.known_at.reset();
  request.as_of = Story::at("05T09:30");
  CHECK(standings_of(story.recall(request).value()) == "A:issued");
  request.known_at = 10'000;
  CHECK(story.recall(request).error().code() == ErrorCode::invalid);
}

TEST_CASE("an answer has the shape of the page") {
  Story story;
  story.tell("packed", "05T05:00", R"("pack":"A","set":"S1","wrap":"wrapped")");
  load(story, "L1", "06", R"("A")");
  const auto last = story.tell("load-released", "05T07:00", R"("load":"L1")");
  CHECK(
      json::plain(story.answer(because_load(Because::load_failed, "L1"))) ==
      R"({"because":"load-failed","subject":{"load":"L1"},"as_of":"2026-10-05T12:00:00+05:00","known_at":)" +
          std::to_string(last) +
          R"(,"window":{"after":null,"before":null},)"
          R"("loads":[{"load":"L1","equipment":"AC-1","started":"2026-10-05T06:00:00+05:00","ended":"2026-10-05T06:40:00+05:00",)"
          R"("released":"2026-10-05T07:00:00+05:00","evidence":"missing"}],)"
          R"("packs":[{"pack":"A","set":"S1","load":"L1","standing":"held","place":null}],"procedures":[],"handled_procedures":[],)"
          R"("counts":{"loads":1,"packs":1,"used":0,"opened":0,"withdrawn":0,"reprocessed":0,"issued":0,"shelf":0,"held":1,"handled":0,)"
          R"("procedures":0,"patients":0,"patients_unknown":0,"handled_procedures":0,"evidence_missing":1,"newborns_without_number":0},)"
          R"("policy":{"in_force":"at-once","at-once":{"packs":1,"procedures":0,"patients":0},"repeat-first":{"packs":1,"procedures":0,"patients":0}}})");
}
