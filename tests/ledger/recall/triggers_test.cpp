// docs/recall.md, "Affected loads": each trigger on a small ward, answers worked out by hand.
#include "tests/ledger/links/story.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;
using recall::Because;

namespace {

// A load of that day at 08:00 on AC-1, ended and complete, with one pack "P<day>".
void load(Story& story, const std::string& day, const std::string& method = "steam-gravity",
          const std::string& equipment = "AC-1") {
  story.tell("load-started", day + "T08:00",
             R"("load":"L)" + day + R"(","method":")" + method + R"(","equipment":")" + equipment + R"(","packs":["P)" +
                 day + R"("])");
  story.tell("load-ended", day + "T08:40", R"("load":"L)" + day + R"(","complete":true)");
}

void biological(Story& story, const std::string& day, const std::string& fields) {
  story.tell("biological-read", day + "T23:00", R"("load":"L)" + day + R"(",)" + fields);
}

constexpr const char* valid = R"("hours":48,"result":"negative","control":"growth")";
constexpr const char* positive = R"("hours":48,"result":"positive","control":"growth")";

std::string loads_by_biological(Story& story, const std::string& day) {
  const auto answer = story.recall(because_load(Because::biological_positive, "L" + day));
  REQUIRE(answer.ok());
  return loads_of(answer.value());
}

recall::Request at_equipment(Because because, std::string equipment, std::string_view at) {
  recall::Request request;
  request.because = because;
  request.equipment = std::move(equipment);
  request.at = Story::at(at);
  return request;
}

}  // namespace

TEST_CASE("a positive biological reaches back to the last valid negative and on to the next") {
  Story story;
  for (const char* day : {"09-21", "09-22", "09-23", "09-24", "09-25", "09-26"}) load(story, day);
  biological(story, "09-22", valid);
  biological(story, "09-24", positive);
  biological(story, "09-26", valid);
  CHECK(loads_by_biological(story, "09-24") == "L09-23 L09-24 L09-25");
  const auto answer = story.recall(because_load(Because::biological_positive, "L09-24"));
  REQUIRE(answer.ok());
  CHECK(answer.value().after->load == "L09-22");
  CHECK(answer.value().before->load == "L09-26");
  CHECK(answer.value().after->at == Story::at("09-22T08:00"));
  // From the first record on, and up to now.
  Story open;
  for (const char* day : {"09-21", "09-22", "09-23"}) load(open, day);
  biological(open, "09-22", positive);
  CHECK(loads_by_biological(open, "09-22") == "L09-21 L09-22 L09-23");
  const auto open_answer = open.recall(because_load(Because::biological_positive, "L09-22"));
  REQUIRE(open_answer.ok());
  CHECK_FALSE(open_answer.value().after);
  CHECK_FALSE(open_answer.value().before);
}

TEST_CASE("only a valid negative bounds the window") {
  const std::vector<std::string> invalid = {
      R"("hours":47.5,"result":"negative","control":"growth")",  // shorter than the lot's hours
      R"("result":"negative","control":"growth")",               // hours not stated where the lot states them
      R"("hours":48,"result":"negative","control":"no-growth")",
      R"("hours":48,"result":"negative","control":"not-run")",
      R"("hours":48,"result":"negative","control":"growth","lot":"BI-OLD")",
      R"("hours":48,"control":"growth","unknown":{"result":"not-readable"})",
  };
  for (std::size_t place = 0; place < invalid.size() + 1; ++place) {
    INFO(place);
    Story story;
    story.tell("supply-received", "09-01T08:00",
               R"("lot":"BI-1","sort":"biological-indicator","read_hours":48,"expires":"2026-09-22")");
    story.tell("supply-received", "09-01T08:00",
               R"("lot":"BI-OLD","sort":"biological-indicator","read_hours":48,"expires":"2026-09-21")");
    for (const char* day : {"09-21", "09-22", "09-23"}) load(story, day);
    story.tell("biological-placed", "09-22T08:00", R"("biological":"B1","load":"L09-22","lot":"BI-1")");
    const bool is_valid = place == invalid.size();  // in date on its last day, incubated exactly as long as wanted
    biological(story, "09-22", (is_valid ? std::string(valid) : invalid[place]) + R"(,"biological":"B1")");
    CHECK(loads_by_biological(story, "09-23") == (is_valid ? "L09-23" : "L09-21 L09-22 L09-23"));
  }
}

TEST_CASE("a negative is no bound when its load was cut short or rejected or has a positive reading too") {
  for (const int way : {0, 1, 2}) {
    INFO(way);
    Story story;
    for (const char* day : {"09-21", "09-23"}) load(story, day);
    story.tell("load-started", "09-22T08:00",
               R"("load":"L09-22","method":"steam-gravity","equipment":"AC-1","packs":[])");
    story.tell("load-ended", "09-22T08:40",
               way == 0 ? R"("load":"L09-22","complete":false)" : R"("load":"L09-22","complete":true)");
    biological(story, "09-22", valid);
    if (way == 1) story.tell("load-rejected", "09-22T10:00", R"("load":"L09-22","why":"wet")");
    if (way == 2) biological(story, "09-22", positive);
    CHECK(loads_by_biological(story, "09-23") == "L09-21 L09-22 L09-23");
  }
}

TEST_CASE("a negative of another method or another sterilizer is no bound but loads of any method are inside") {
  Story story;
  load(story, "09-21");
  load(story, "09-22", "steam-prevacuum");
  load(story, "09-23", "steam-gravity", "AC-2");
  load(story, "09-24");
  biological(story, "09-22", valid);
  biological(story, "09-23", valid);
  CHECK(loads_by_biological(story, "09-24") == "L09-21 L09-22 L09-24");
}

TEST_CASE("the trigger's own negative reading never bounds its window and equal starts are told apart by id") {
  Story story;
  load(story, "09-22");
  biological(story, "09-22", valid);
  for (const char* id : {"La", "Lb", "Lc"}) {
    story.tell("load-started", "09-23T08:00",
               R"("load":")" + std::string(id) + R"(","method":"steam-gravity","equipment":"AC-1","packs":[])");
    story.tell("load-ended", "09-23T08:40", R"("load":")" + std::string(id) + R"(","complete":true)");
  }
  CHECK(loads_by_biological(story, "09-22") == "L09-22 La Lb Lc");
  story.tell("biological-read", "09-24T08:00", R"("load":"La","hours":48,"result":"negative","control":"growth")");
  const auto answer = story.recall(because_load(Because::biological_positive, "Lb"));
  REQUIRE(answer.ok());
  CHECK(loads_of(answer.value()) == "Lb Lc");
}

TEST_CASE("a coarse start is inside when any moment of it is and bounds only when all of it is on its side") {
  Story story;
  story.tell("load-started", "09-22T00:00",
             R"("load":"L22","method":"steam-gravity","equipment":"AC-1","packs":[],"precision":"day")");
  story.tell("load-ended", "09-22T00:00", R"("load":"L22","complete":true,"precision":"day")");
  story.tell("biological-read", "09-24T08:00", R"("load":"L22","hours":48,"result":"negative","control":"growth")");
  load(story, "09-22");
  load(story, "09-23");
  // The negative's day is wholly before the 23rd: it bounds, and the load of the same day may have been after it.
  CHECK(loads_by_biological(story, "09-23") == "L09-22 L09-23");
  // It does not lie wholly before the load of its own day.
  CHECK(loads_by_biological(story, "09-22") == "L22 L09-22 L09-23");
}

TEST_CASE("a load without equipment is affected alone") {
  Story story;
  story.tell("load-started", "09-22T08:00",
             R"("load":"L1","method":"boiling","packs":["P1"],"unknown":{"equipment":"not-recorded"})");
  load(story, "09-23");
  const auto answer = story.recall(because_load(Because::biological_positive, "L1"));
  REQUIRE(answer.ok());
  CHECK(loads_of(answer.value()) == "L1");
}

TEST_CASE("a sterilizer out of tolerance reaches back to its last pass of the same check") {
  Story story;
  for (const char* day : {"09-21", "09-22", "09-23", "09-24"}) load(story, day);
  story.tell("equipment-checked", "09-21T12:00", R"("equipment":"AC-1","check":"calibration","result":"pass")");
  story.tell("equipment-checked", "09-22T12:00", R"("equipment":"AC-1","check":"service","result":"pass")");
  story.tell("equipment-checked", "09-22T13:00", R"("equipment":"AC-1","check":"calibration","result":"fail")");
  const auto answer = story.recall(at_equipment(Because::equipment_out_of_tolerance, "AC-1", "09-23T08:00"));
  REQUIRE(answer.ok());
  CHECK(loads_of(answer.value()) == "L09-22 L09-23");
  CHECK_FALSE(answer.value().after->load);
  CHECK(answer.value().after->at == Story::at("09-21T12:00"));
  // A pass at that very moment does not count.
  const auto same_moment = story.recall(at_equipment(Because::equipment_out_of_tolerance, "AC-1", "09-21T12:00"));
  REQUIRE(same_moment.ok());
  CHECK(loads_of(same_moment.value()) == "L09-21");
}

TEST_CASE("a failed air removal test reaches prevacuum loads between two passes") {
  Story story;
  for (const char* day : {"09-20", "09-21", "09-22", "09-23", "09-24"}) load(story, day, "steam-prevacuum");
  story.tell("load-started", "09-22T10:00", R"("load":"G","method":"steam-gravity","equipment":"AC-1","packs":[])");
  story.tell("equipment-checked", "09-20T12:00", R"("equipment":"AC-1","check":"air-removal","result":"pass")");
  story.tell("equipment-checked", "09-23T12:00", R"("equipment":"AC-1","check":"air-removal","result":"pass")");
  const auto answer = story.recall(at_equipment(Because::air_removal_failed, "AC-1", "09-22T07:00"));
  REQUIRE(answer.ok());
  CHECK(loads_of(answer.value()) == "L09-21 L09-22 L09-23");
  CHECK(answer.value().before->at == Story::at("09-23T12:00"));
}

TEST_CASE("an indicator that failed reaches its load or one pack of it") {
  Story story;
  story.tell("load-started", "05T08:00",
             R"("load":"L1","method":"steam-gravity","equipment":"AC-1","packs":["P1","P2"])");
  story.tell("load-ended", "05T08:40", R"("load":"L1","complete":true)");
  story.tell("procedure-done", "05T10:00",
             R"("procedure":"D1","sort":"delivery","place":"room 1","packs":["P1","P2"])");
  auto request = because_load(Because::indicator_failed, "L1");
  CHECK(procedures_of(story.recall(request).value().procedures) == "D1(P1@L1,P2@L1)");
  request.pack = "P2";
  const auto answer = story.recall(request);
  REQUIRE(answer.ok());
  CHECK(standings_of(answer.value()) == "P2:used");
  CHECK(procedures_of(answer.value().procedures) == "D1(P2@L1)");
}

TEST_CASE("a weak disinfecting solution reaches its loads and a weak soak only what was handled in it") {
  Story story;
  story.tell(
      "solution-prepared", "05T06:00",
      R"("solution":"GA","agent":"glutaraldehyde","use":"high-level-disinfection","percent":2,"ready_to_use":true)");
  story.tell("load-started", "05T08:00",
             R"("load":"L1","method":"chemical-disinfection","solution":"GA","packs":["P1"])");
  story.tell(
      "solution-prepared", "04T06:00",
      R"("solution":"CL","agent":"sodium-hypochlorite","use":"decontamination","percent":0.5,"stock_percent":5,"stock_ml":100,"water_ml":900)");
  story.tell("soaked", "04T06:30", R"("set":"S2","solution":"CL")");
  story.tell("packed", "04T08:00", R"("pack":"P2","set":"S2","wrap":"wrapped")");
  story.tell("procedure-done", "05T10:00", R"("procedure":"D1","sort":"delivery","place":"room 1","packs":["P2"])");
  recall::Request request;
  request.because = Because::solution_weak;
  request.solution = "GA";
  CHECK(loads_of(story.recall(request).value()) == "L1");
  request.solution = "CL";
  const auto answer = story.recall(request);
  REQUIRE(answer.ok());
  CHECK(loads_of(answer.value()) == "");
  CHECK(standings_of(answer.value()) == "P2:handled");
  CHECK(procedures_of(answer.value().procedures) == "");
  CHECK(procedures_of(answer.value().handled_procedures) == "D1(P2@-)");
  CHECK(answer.value().counts.packs == 1);
}

TEST_CASE("a withdrawn lot reaches loads by readings and packs by what is in them and procedures by kits") {
  Story story;
  story.tell("packed", "05T07:00", R"("pack":"P1","set":"S1","wrap":"wrapped","indicator_lot":"X")");
  story.tell("pack-received", "05T07:00", R"("pack":"P3","from":"elsewhere","lot":"X")");
  story.tell("load-started", "05T08:00",
             R"("load":"L1","method":"steam-gravity","equipment":"AC-1","packs":["P1","P2"])");
  story.tell("load-started", "05T09:00", R"("load":"L2","method":"steam-gravity","equipment":"AC-1","packs":["P4"])");
  story.tell("indicator-read", "05T10:00", R"("load":"L2","lot":"X","result":"pass")");
  story.tell("procedure-done", "05T11:00", R"("procedure":"D1","sort":"delivery","place":"room 1","packs":["P3"])");
  story.tell(
      "procedure-done", "05T11:30",
      R"("procedure":"D2","sort":"delivery","place":"room 1","packs":[],"disposable":true,"disposable_lot":"X")");
  recall::Request request;
  request.because = Because::lot_withdrawn;
  request.lot = "X";
  const auto answer = story.recall(request);
  REQUIRE(answer.ok());
  CHECK(loads_of(answer.value()) == "L1 L2");
  CHECK(standings_of(answer.value()) == "P4:held P1:held P3:used");
  CHECK(procedures_of(answer.value().procedures) == "D1(P3@-) D2()");
}

TEST_CASE("an index patient reaches forward to the later packs of the sets used") {
  Story story;
  story.tell("packed", "01T07:00", R"("pack":"P1","set":"S1","wrap":"wrapped")");
  story.tell("procedure-done", "02T10:00", R"("procedure":"D1","sort":"delivery","place":"room 1","packs":["P1"])");
  story.tell("packed", "03T07:00", R"("pack":"P2","set":"S1","wrap":"wrapped")");
  story.tell("packed", "03T07:00", R"("pack":"Q2","set":"S2","wrap":"wrapped")");
  story.tell("load-started", "03T08:00",
             R"("load":"L1","method":"steam-gravity","equipment":"AC-1","packs":["P2","Q2"])");
  story.tell("load-ended", "03T08:40", R"("load":"L1","complete":true)");
  story.tell("procedure-done", "03T10:00",
             R"("procedure":"D2","sort":"delivery","place":"room 2","packs":["P2","Q2"])");
  story.tell("packed", "04T07:00", R"("pack":"P3","set":"S1","wrap":"wrapped")");
  recall::Request request;
  request.because = Because::index_patient;
  request.procedure = "D1";
  const auto answer = story.recall(request);
  REQUIRE(answer.ok());
  CHECK(loads_of(answer.value()) == "");
  CHECK(standings_of(answer.value()) == "P2:used P3:held");
  CHECK(procedures_of(answer.value().procedures) == "D2(P2@-)");
}

TEST_CASE("chosen packs affect every load that holds them for themselves only") {
  Story story;
  story.tell("load-started", "05T08:00",
             R"("load":"L1","method":"steam-gravity","equipment":"AC-1","packs":["P1","P2"])");
  story.tell("load-ended", "05T08:40", R"("load":"L1","complete":true)");
  story.tell("pack-opened", "05T07:00", R"("pack":"P3","place":"ward")");
  recall::Request request;
  request.because = Because::chosen;
  request.packs = {"P1", "P3"};
  request.why = "soiled";
  const auto answer = story.recall(request);
  REQUIRE(answer.ok());
  CHECK(loads_of(answer.value()) == "L1");
  CHECK(standings_of(answer.value()) == "P1:held P3:opened");
}

TEST_CASE("a subject that no event names is missing and a request that lacks its subject is invalid") {
  Story story;
  load(story, "09-22");
  const auto missing = story.recall(because_load(Because::load_failed, "L99"));
  REQUIRE_FALSE(missing.ok());
  CHECK(missing.error().code() == ErrorCode::missing);
  CHECK(holds(missing.error().sentence(), "load L99"));
  const auto empty = story.recall(because_load(Because::load_failed, ""));
  REQUIRE_FALSE(empty.ok());
  CHECK(empty.error().code() == ErrorCode::invalid);
  // A load that is only named by a reading is held, and stands there with what is known of it.
  story.tell("indicator-read", "05T10:00", R"("load":"L77","result":"fail")");
  const auto named = story.recall(because_load(Because::load_failed, "L77"));
  REQUIRE(named.ok());
  CHECK(loads_of(named.value()) == "L77");
}
