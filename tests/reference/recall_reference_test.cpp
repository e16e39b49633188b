// The reference against answers worked out by hand from docs/recall.md.
#include "tests/reference/tale.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::reference;

namespace {

RecallRequest because(const std::string& word) {
  RecallRequest request;
  request.because = word;
  return request;
}

RecallRequest about_load(const std::string& word, const std::string& load) {
  RecallRequest request = because(word);
  request.load = load;
  return request;
}

RecallRequest about_equipment(const std::string& word, const std::string& equipment, std::string_view at) {
  RecallRequest request = because(word);
  request.equipment = equipment;
  request.at = may(at);
  return request;
}

void run(Tale& tale, const std::string& day, const std::string& load, const std::string& packs,
         const std::string& rest = R"("method":"steam-gravity","equipment":"E1")") {
  tale.tell(day + "T08:00", "load-started", R"({"load":")" + load + R"(","packs":[)" + packs + "]," + rest + "}");
  tale.tell(day + "T08:30", "load-ended", R"({"load":")" + load + R"(","complete":true,"hold_min":20})");
}

void read_negative(Tale& tale, const std::string& when, const std::string& load, const std::string& rest = "") {
  tale.tell(when, "biological-read",
            R"({"load":")" + load + R"(","result":"negative","control":"growth")" + rest + "}");
}

std::string refusal(const Tale& tale, RecallRequest request) {
  request.now = may("31T00:00");
  const auto answer = recall(tale.entries(), request);
  return answer.ok() ? "" : answer.error().sentence();
}

}  // namespace

TEST_CASE("a positive biological reaches from the last valid negative to the next on that sterilizer") {
  Tale tale;
  run(tale, "01", "L1", R"("P1")");
  run(tale, "02", "L2", R"("P2")");
  run(tale, "03", "L3", R"("P3")");
  run(tale, "04", "L4", R"("P4")");
  run(tale, "05", "L5", R"("P5")");
  run(tale, "03", "M1", R"("P6")", R"("method":"steam-gravity","equipment":"E2")");
  read_negative(tale, "02T20:00", "L1");
  read_negative(tale, "05T20:00", "L5");
  const auto answer = tale.ask(about_load("biological-positive", "L3"));
  CHECK(loads_in(answer) == "L2 L3 L4");
  CHECK(packs_in(answer) == "P2:held@L2 P3:held@L3 P4:held@L4");
  CHECK(bound_in(answer, "after") == "L1 2024-05-01T08:00:00+00:00");
  CHECK(bound_in(answer, "before") == "L5 2024-05-05T08:00:00+00:00");
  // The same tale without negatives of the sterilizer: from the first record on and up to now.
  const auto open = tale.ask(about_load("biological-positive", "M1"));
  CHECK(loads_in(open) == "M1");
  CHECK(bound_in(open, "after") == "-");
  CHECK(bound_in(open, "before") == "-");
}

TEST_CASE("a negative that is not valid bounds nothing") {
  const auto window_after = [](const std::string& method, const std::string& reading, const std::string& more_kind,
                               const std::string& more) {
    Tale tale;
    tale.tell(
        "01T00:00", "sop-adopted",
        R"({"title":"x","toml":"[sop]\ntitle=\"x\"\n[indicators]\nbiological_hours=24\n","in_force":"2024-05-01T00:00:00+00:00"})");
    tale.tell("01T00:00", "supply-received", R"({"lot":"B3","sort":"biological-indicator","read_hours":3})");
    tale.tell("01T00:00", "supply-received", R"({"lot":"OLD","sort":"biological-indicator","expires":"2024-05-01"})");
    tale.tell("01T00:00", "supply-received", R"({"lot":"DUE","sort":"biological-indicator","expires":"2024-05-02"})");
    tale.tell("01T08:00", "biological-placed", R"({"biological":"b","load":"L1","lot":"B3"})");
    run(tale, "01", "L1", "", R"("method":")" + method + R"(","equipment":"E1")");
    run(tale, "03", "L3", "");
    tale.tell("02T12:00", "biological-read", R"({"load":"L1",)" + reading + "}");
    if (!more_kind.empty()) tale.tell("04T08:00", more_kind, R"({"load":"L1",)" + more + "}");
    return bound_in(tale.ask(about_load("biological-positive", "L3")), "after");
  };
  const std::string steam = "steam-gravity";
  const std::string good = R"("result":"negative","control":"growth","hours":24)";
  const std::string bound = "L1 2024-05-01T08:00:00+00:00";
  CHECK(window_after(steam, good, "", "") == bound);
  CHECK(window_after("steam-prevacuum", good, "", "") == "-");
  CHECK(window_after(steam, R"("result":"negative","control":"no-growth","hours":24)", "", "") == "-");
  CHECK(window_after(steam, R"("result":"negative","unknown":{"control":"not-recorded"},"hours":24)", "", "") == "-");
  CHECK(window_after(steam, R"("result":"negative","control":"growth","hours":23.5)", "", "") == "-");
  CHECK(window_after(steam, R"("result":"negative","control":"growth")", "", "") == "-");
  CHECK(window_after(steam, R"("result":"negative","control":"growth","hours":3,"lot":"B3")", "", "") == bound);
  CHECK(window_after(steam, R"("result":"negative","control":"growth","hours":3,"biological":"b")", "", "") == bound);
  CHECK(window_after(steam, good + R"(,"lot":"OLD")", "", "") == "-");
  CHECK(window_after(steam, good + R"(,"lot":"DUE")", "", "") == bound);
  CHECK(window_after(steam, good + R"(,"lot":"never-received")", "", "") == bound);
  CHECK(window_after(steam, good, "load-rejected", R"("why":"x")") == "-");
  CHECK(window_after(steam, good, "load-released", R"("basis":[])") == bound);
  CHECK(window_after(steam, good, "biological-read", R"("result":"positive","control":"no-growth")") == "-");
}

TEST_CASE("a coarse load start is inside when any moment of it is and bounds only when all of it lies aside") {
  Tale tale;
  tale.tell("01T00:00", "load-started",
            R"({"load":"L1","method":"dry-heat","equipment":"E1","packs":[],"precision":"day"})");
  tale.tell("01T10:00", "load-ended", R"({"load":"L1","complete":true})");
  tale.tell("01T09:00", "load-started", R"({"load":"L2","method":"dry-heat","equipment":"E1","packs":[]})");
  tale.tell("01T08:00", "load-started", R"({"load":"L0","method":"dry-heat","equipment":"E1","packs":[]})");
  tale.tell("01T08:30", "load-ended", R"({"load":"L0","complete":true})");
  tale.tell("02T09:00", "load-started", R"({"load":"L3","method":"dry-heat","equipment":"E1","packs":[]})");
  read_negative(tale, "02T08:00", "L1");
  // L1 began at some moment of the first day: it bounds the second day's load, and L2 and L0 may lie behind it.
  CHECK(loads_in(tale.ask(about_load("biological-positive", "L3"))) == "L0 L2 L3");
  // Of the same day it bounds nothing, and may itself lie in the window after L0.
  read_negative(tale, "02T08:00", "L0");
  const auto answer = tale.ask(about_load("biological-positive", "L2"));
  CHECK(loads_in(answer) == "L1 L2 L3");
  CHECK(bound_in(answer, "after") == "L0 2024-05-01T08:00:00+00:00");
}

TEST_CASE("loads that started at the same moment are told apart by id") {
  Tale tale;
  run(tale, "01", "B", "");
  run(tale, "01", "A", "");
  run(tale, "01", "C", "");
  read_negative(tale, "02T08:00", "B");
  CHECK(loads_in(tale.ask(about_load("biological-positive", "C"))) == "C");
  CHECK(loads_in(tale.ask(about_load("biological-positive", "A"))) == "A");
}

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
  tale.tell(
      "02T00:00", "procedure-done",
      R"({"procedure":"Q1","precision":"day","sort":"delivery","place":"x","packs":["P1"],"patient":"aa","newborns":["bb"]})");
  tale.tell(
      "03T00:00", "procedure-done",
      R"({"procedure":"Q2","precision":"day","sort":"delivery","place":"x","packs":["P1"],"patient":"aa","newborns_without_number":2})");
  CHECK(procedures_in(tale.ask(about_load("load-failed", "L1"))) == "Q1(P1/L1)");
  RecallRequest both = because("chosen");
  both.loads = {"L1", "L2"};
  both.why = "x";
  const auto answer = tale.ask(both);
  CHECK(procedures_in(answer) == "Q1(P1/L1 P1/L2) Q2(P1/L2)");
  CHECK(count_in(answer, "patients") == 2);
  CHECK(count_in(answer, "newborns_without_number") == 2);
}

TEST_CASE("a failed indicator of one pack reaches only that pack") {
  Tale tale;
  run(tale, "01", "L1", R"("P1","P2")");
  RecallRequest request = about_load("indicator-failed", "L1");
  CHECK(packs_in(tale.ask(request)) == "P1:held@L1 P2:held@L1");
  request.pack = "P2";
  const auto answer = tale.ask(request);
  CHECK(packs_in(answer) == "P2:held@L1");
  CHECK(answer.find("subject")->text_at("pack") == "P2");
}

TEST_CASE("packs moved out of a load are not in it and packs moved in are") {
  Tale tale;
  run(tale, "01", "L1", R"("P1","P2")");
  tale.tell("01T08:10", "load-changed", R"({"load":"L1","added":["P3","P4"],"removed":["P1"]})");
  tale.tell("01T09:10", "load-changed", R"({"load":"L1","removed":["P4"]})");
  CHECK(packs_in(tale.ask(about_load("load-failed", "L1"))) == "P2:held@L1 P3:held@L1");
}

TEST_CASE("out of tolerance reaches loads after the last pass up to and including the check") {
  Tale tale;
  run(tale, "01", "L1", "");
  run(tale, "02", "L2", "");
  run(tale, "03", "L3", "");
  run(tale, "04", "L4", "");
  tale.tell("01T08:00", "equipment-checked", R"({"equipment":"E1","check":"calibration","result":"pass"})");
  tale.tell("02T10:00", "equipment-checked", R"({"equipment":"E1","check":"calibration","result":"fail"})");
  tale.tell("02T10:00", "equipment-checked", R"({"equipment":"E1","check":"service","result":"pass"})");
  tale.tell("03T08:00", "equipment-checked", R"({"equipment":"E1","check":"calibration","result":"pass"})");
  RecallRequest request = about_equipment("equipment-out-of-tolerance", "E1", "03T08:00");
  const auto answer = tale.ask(request);
  CHECK(loads_in(answer) == "L2 L3");
  CHECK(bound_in(answer, "after") == "- 2024-05-01T08:00:00+00:00");
  CHECK(bound_in(answer, "before") == "-");
  CHECK(answer.find("subject")->text_at("check") == "calibration");
  request.check = "service";
  CHECK(loads_in(tale.ask(request)) == "L3");
}

TEST_CASE("a logger out of tolerance reaches the loads whose placed curve came from it") {
  Tale tale;
  run(tale, "01", "L1", "");
  run(tale, "02", "L2", "");
  run(tale, "03", "L3", "");
  const auto curve = [&](const std::string& logger, const std::string& load) {
    const auto seq =
        tale.tell("04T08:00", "curve-measured", R"({"equipment":"E1","logger":")" + logger + R"(","part":0})");
    tale.tell("04T08:00", "curve-placed", R"({"curve":)" + std::to_string(seq) + R"(,"load":)" + load + "}");
    return seq;
  };
  curve("G1", R"("L1")");
  curve("G2", R"("L2")");
  const auto moved = curve("G1", R"("L2")");
  tale.tell("01T08:00", "curve-placed", R"({"curve":)" + std::to_string(moved) + R"(,"load":"L3"})");
  CHECK(loads_in(tale.ask(about_equipment("logger-out-of-tolerance", "G1", "10T00:00"))) == "L1 L3");
  tale.tell("02T00:00", "equipment-checked", R"({"equipment":"G1","check":"calibration","result":"pass"})");
  CHECK(loads_in(tale.ask(about_equipment("logger-out-of-tolerance", "G1", "10T00:00"))) == "L3");
  CHECK(loads_in(tale.ask(about_equipment("logger-out-of-tolerance", "G1", "02T12:00"))).empty());
}

TEST_CASE("a failed air removal reaches prevacuum loads between two passes") {
  Tale tale;
  const std::string prevacuum = R"("method":"steam-prevacuum","equipment":"E1")";
  for (const char* day : {"01", "02", "03", "04", "05"}) run(tale, day, std::string("L") + day[1], "", prevacuum);
  run(tale, "03", "G1", "");
  tale.tell("02T07:00", "equipment-checked", R"({"equipment":"E1","check":"air-removal","result":"pass"})");
  tale.tell("03T07:00", "equipment-checked", R"({"equipment":"E1","check":"air-removal","result":"fail"})");
  tale.tell("05T08:00", "equipment-checked", R"({"equipment":"E1","check":"air-removal","result":"pass"})");
  const auto answer = tale.ask(about_equipment("air-removal-failed", "E1", "03T07:00"));
  CHECK(loads_in(answer) == "L2 L3 L4");
  CHECK(bound_in(answer, "before") == "- 2024-05-05T08:00:00+00:00");
}

TEST_CASE("a weak soak lists the packs whose turn was soaked in it as handled") {
  Tale tale;
  const auto pack = [&](const std::string& when, const std::string& id) {
    tale.tell(when, "packed", R"({"pack":")" + id + R"(","set":"T1","wrap":"pouch"})");
  };
  tale.tell(
      "01T06:00", "solution-prepared",
      R"({"solution":"S1","agent":"sodium-hypochlorite","use":"decontamination","percent":0.5,"ready_to_use":true})");
  tale.tell("01T06:30", "set-defined",
            R"({"set":"T1","title":"x","items":[],"contact":"critical","told_apart":false})");
  pack("01T07:00", "P1");
  tale.tell("01T07:00", "soaked", R"({"set":"T1","solution":"S1"})");
  pack("01T08:00", "P2");
  tale.tell("01T09:00", "soaked", R"({"set":"T1","solution":"S1"})");
  pack("01T09:00", "P3");
  pack("01T10:00", "P4");
  run(tale, "02", "L1", R"("P1","P2","P3","P4")", R"("method":"chemical-disinfection","solution":"S1")");
  tale.tell("03T08:00", "procedure-done",
            R"({"procedure":"Q1","sort":"delivery","place":"x","packs":["P2","P3","P4"],"patient":"aa"})");
  RecallRequest request = because("solution-weak");
  request.solution = "S1";
  const auto answer = tale.ask(request);
  // The soak at 07:00 belongs to P1, whose own packing it is not after.
  CHECK(packs_in(answer) == "P1:handled@- P3:handled@-");
  CHECK(loads_in(answer).empty());
  CHECK(procedures_in(answer, "handled_procedures") == "Q1(P3/-)");
  CHECK(count_in(answer, "handled") == 2);
  CHECK(count_in(answer, "procedures") == 0);
  CHECK(count_in(answer, "patients") == 0);
  CHECK(answer.find("packs")->items()[0].bool_at("told_apart") == false);
}

TEST_CASE("a weak bath reaches the loads run in it") {
  Tale tale;
  tale.tell(
      "01T06:00", "solution-prepared",
      R"({"solution":"S1","agent":"glutaraldehyde","use":"high-level-disinfection","percent":2,"ready_to_use":true})");
  run(tale, "01", "L1", R"("P1")", R"("method":"chemical-disinfection","solution":"S1")");
  run(tale, "02", "L2", R"("P2")", R"("method":"chemical-disinfection","solution":"S2")");
  RecallRequest request = because("solution-weak");
  request.solution = "S1";
  CHECK(packs_in(tale.ask(request)) == "P1:held@L1");
}

TEST_CASE("a withdrawn lot reaches whole loads or single packs or procedures by where it was used") {
  Tale tale;
  tale.tell("01T06:00", "packed", R"({"pack":"P1","set":"T1","wrap":"pouch","indicator_lot":"X"})");
  tale.tell("01T06:00", "packed", R"({"pack":"P2","set":"T2","wrap":"pouch","wrap_lot":"Y"})");
  tale.tell("01T06:10", "pack-received", R"({"pack":"P3","from":"a maker","lot":"X"})");
  tale.tell("01T06:20", "packed", R"({"pack":"P4","set":"T3","wrap":"pouch"})");
  tale.tell("01T06:30", "packed", R"({"pack":"P5","set":"T4","wrap":"pouch"})");
  run(tale, "01", "L1", R"("P1","P2")");
  run(tale, "02", "L2", R"("P4")");
  tale.tell("02T09:00", "indicator-read", R"({"pack":"P4","result":"pass","lot":"X"})");
  tale.tell(
      "03T06:00", "solution-prepared",
      R"({"solution":"S1","agent":"glutaraldehyde","use":"chemical-sterilization","percent":2,"ready_to_use":true,"lot":"X"})");
  run(tale, "03", "L3", R"("P5")", R"("method":"chemical-sterilization","solution":"S1")");
  tale.tell("04T08:00", "procedure-done", R"({"procedure":"Q1","sort":"delivery","place":"x","packs":["P2","P3"]})");
  tale.tell("04T09:00", "procedure-done",
            R"({"procedure":"Q2","sort":"delivery","place":"x","packs":[],"disposable":true,"disposable_lot":"X"})");
  RecallRequest request = because("lot-withdrawn");
  request.lot = "X";
  const auto answer = tale.ask(request);
  CHECK(loads_in(answer) == "L1 L2 L3");
  CHECK(packs_in(answer) == "P1:held@L1 P3:used@- P4:held@L2 P5:held@L3");
  CHECK(procedures_in(answer) == "Q1(P3/-) Q2()");
  request.lot = "Y";
  CHECK(packs_in(tale.ask(request)) == "P2:used@L1");
}

TEST_CASE("an index patient is followed forward through the sets used") {
  Tale tale;
  const auto pack = [&](const std::string& when, const std::string& id, const std::string& set) {
    tale.tell(when, "packed", R"({"pack":")" + id + R"(","set":")" + set + R"(","wrap":"pouch"})");
  };
  const auto use = [&](const std::string& when, const std::string& id, const std::string& packs) {
    tale.tell(when, "procedure-done",
              R"({"procedure":")" + id + R"(","sort":"delivery","place":"x","patient":")" + id + R"(","packs":[)" +
                  packs + "]}");
  };
  pack("01T08:00", "P1", "T1");
  pack("01T08:00", "P2", "T2");
  use("01T12:00", "Q0", R"("P2")");
  use("02T08:00", "Q1", R"("P1")");
  pack("03T08:00", "P3", "T1");
  pack("03T08:00", "P4", "T2");
  run(tale, "03", "L1", R"("P3","P4")");
  use("04T08:00", "Q2", R"("P3","P4")");
  pack("05T08:00", "P5", "T1");
  tale.tell("05T09:00", "pack-stored", R"({"pack":"P5","place":"shelf 1"})");
  pack("06T08:00", "P6", "T1");
  run(tale, "07", "L2", R"("P6")");
  run(tale, "08", "L3", R"("P6")");
  RecallRequest request = because("index-patient");
  request.procedure = "Q1";
  const auto answer = tale.ask(request);
  CHECK(loads_in(answer).empty());
  CHECK(packs_in(answer) == "P3:used@- P5:shelf@- P6:held@-");
  CHECK(procedures_in(answer) == "Q2(P3/-)");
}

TEST_CASE("what is named by hand is reached where no load holds it") {
  Tale tale;
  tale.tell("01T06:00", "packed", R"({"pack":"P1","set":"T1","wrap":"pouch"})");
  tale.tell("01T06:00", "packed", R"({"pack":"P2","set":"T1","wrap":"pouch"})");
  tale.tell("01T07:00", "procedure-done", R"({"procedure":"Q1","sort":"delivery","place":"x","packs":["P1","P2"]})");
  run(tale, "02", "L1", R"("P1","P2")");
  tale.tell("03T07:00", "procedure-done", R"({"procedure":"Q2","sort":"delivery","place":"x","packs":["P1","P2"]})");
  RecallRequest request = because("chosen");
  request.packs = {"P1"};
  request.why = "soiled";
  const auto answer = tale.ask(request);
  CHECK(loads_in(answer) == "L1");
  CHECK(packs_in(answer) == "P1:used@L1");
  CHECK(procedures_in(answer) == "Q1(P1/-) Q2(P1/L1)");
  CHECK(answer.find("subject")->text_at("why") == "soiled");
}

TEST_CASE("a subject that the ledger does not hold is refused") {
  Tale tale;
  run(tale, "01", "L1", R"("P1")");
  CHECK(refusal(tale, about_load("load-failed", "L2")) == "recall: the ledger holds no load L2");
  CHECK(refusal(tale, because("load-failed")) == "recall: `load` is missing");
  CHECK(refusal(tale, because("bad-luck")) == "recall: `because` is bad-luck");
  // Named by any event is held, and a load that never started is affected alone.
  tale.tell("02T08:00", "indicator-read", R"({"load":"L9","result":"fail"})");
  CHECK(loads_in(tale.ask(about_load("biological-positive", "L9"))) == "L9");
}

TEST_CASE("corrections count as of any time and only once they are known") {
  Tale tale;
  tale.tell("01T08:00", "load-started", R"({"load":"L1","method":"dry-heat","equipment":"E1","packs":["P1"]})");
  const auto started = tale.entries().back();
  const auto use =
      tale.tell("02T08:00", "procedure-done", R"({"procedure":"Q1","sort":"delivery","place":"x","packs":["P1"]})");
  const std::string replacement =
      R"({"kind":"load-started","at":"2024-05-01T08:00:00+00:00","by":"person-1","load":"L1","method":"dry-heat","equipment":"E1","packs":)";
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
  tale.tell(
      "01T00:00", "sop-adopted",
      R"({"title":"x","toml":"[sop]\ntitle=\"x\"\n[recall]\npolicy=\"repeat-first\"\n","in_force":"2024-05-01T00:00:00+00:00"})");
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
  CHECK(
      json::canonical(*answer.find("policy")) ==
      R"({"at-once":{"packs":4,"patients":2,"procedures":2},"in_force":"repeat-first","repeat-first":{"packs":3,"patients":1,"procedures":1}})");
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
