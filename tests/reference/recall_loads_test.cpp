// The reference against answers worked out by hand from docs/recall.md: what each trigger reaches.
#include "tests/reference/tale.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::reference;

namespace {

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
    tale.tell("01T00:00", "sop-adopted",
              R"({"title":"x","in_force":"2024-05-01T00:00:00+00:00",)"
              R"("toml":"[sop]\ntitle=\"x\"\n[indicators]\nbiological_hours=24\n"})");
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
  tale.tell("03T06:00", "solution-prepared",
            R"({"solution":"S1","agent":"glutaraldehyde","use":"chemical-sterilization",)"
            R"("percent":2,"ready_to_use":true,"lot":"X"})");
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
