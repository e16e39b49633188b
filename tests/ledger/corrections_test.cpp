// docs/ledger-format.md, "Corrections" and "Refused as a whole".
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

std::string packed(const std::string& pack, const std::string& more = "") {
  return R"({"kind":"packed","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":")" + pack +
         R"(","set":"DS-1","wrap":"wrapped")" + more + "}";
}

std::string started(const std::string& load) {
  return R"({"kind":"load-started","at":"2026-10-05T09:00:00+05:00","by":"ana","load":")" + load +
         R"(","method":"steam-gravity","equipment":"AC-1","packs":["PK-1"]})";
}

std::string corrected(std::int64_t of, const std::string& replacement) {
  return R"({"kind":"corrected","at":"2026-10-05T10:00:00+05:00","by":"ben","of":)" + std::to_string(of) +
         R"(,"why":"typed wrong","replacement":)" + replacement + "}";
}

std::string prepared(const std::string& solution, const std::string& use) {
  return R"({"kind":"solution-prepared","at":"2026-10-05T08:00:00+05:00","by":"ana","solution":")" + solution +
         R"(","agent":"sodium-hypochlorite","use":")" + use + R"(","percent":0.5,"ready_to_use":true})";
}

std::string soaked(const std::string& solution) {
  return R"({"kind":"soaked","at":"2026-10-05T09:00:00+05:00","by":"ana","set":"DS-1","solution":")" + solution + "\"}";
}

std::string lines(const std::vector<std::string>& all) { return joined(all); }

}  // namespace

TEST_CASE("an id that may be introduced once is refused the second time") {
  struct Row {
    const char* field;
    std::string first;
    std::string second;
  };
  const std::string head = R"("at":"2026-10-05T09:00:00+05:00","by":"ana",)";
  const std::string procedure =
      R"({"kind":"procedure-done",)" + head + R"("procedure":"P-1","sort":"delivery","packs":[],"place":)";
  const std::string ended = R"({"kind":"load-ended",)" + head + R"("load":"L-1","complete":)";
  const std::string discarded = R"({"kind":"solution-discarded",)" + head + R"("solution":"S-1")";
  const std::string closed = R"({"kind":"recall-closed",)" + head + R"("recall":"R-1","second":"ben","conclusion":)";
  const std::string received = R"({"kind":"pack-received",)" + head + R"("pack":"PK-1","from":"Invented supplier"})";
  const Row rows[] = {
      {"pack", packed("PK-1"), packed("PK-1", R"(,"note":"again")")},
      {"pack", packed("PK-1"), received},
      {"pack", received, packed("PK-1")},
      {"load", started("L-1"), started("L-1").replace(started("L-1").find("PK-1"), 4, "PK-2")},
      {"load", ended + "true}", ended + "false}"},
      {"procedure", procedure + "\"room\"}", procedure + "\"ward\"}"},
      {"solution", prepared("S-1", "decontamination"), prepared("S-1", "high-level-disinfection")},
      {"solution", discarded + "}", discarded + R"(,"why":"old"})"},
      {"recall", closed + "\"one\"}", closed + "\"two\"}"},
  };
  for (const Row& row : rows) {
    INFO(row.second);
    WardLedger ward;
    const auto in_file = ward.refusals(lines({row.first, row.second}));
    REQUIRE(in_file.size() == 1);
    CHECK(in_file[0].starts_with(std::string(row.field) + ": "));
    CHECK(holds(in_file[0], "line 1"));
    CHECK_EQ(ward.size(), first_seq - 1);
    ward.take(row.first);
    const auto later = ward.refusals(row.second);
    REQUIRE(later.size() == 1);
    CHECK(later[0].starts_with(std::string(row.field) + ": "));
    CHECK(holds(later[0], "seq 6"));
    CHECK_EQ(ward.size(), first_seq);
  }
}

TEST_CASE("ids of different kinds of thing are different ids") {
  WardLedger ward;
  ward.take(
      lines({packed("X-1"), started("X-1"), prepared("X-1", "decontamination"),
             R"({"kind":"load-ended","at":"2026-10-05T09:40:00+05:00","by":"ana","load":"X-1","complete":true})"}));
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("an id that was corrected away is free in any order of the lines") {
  for (const bool correction_first : {true, false}) {
    for (const std::string& replacement : {std::string("null"), packed("PK-7")}) {
      WardLedger ward;
      ward.take(packed("PK-1"));
      const std::string again = packed("PK-1", R"(,"note":"the real one")");
      ward.take(correction_first ? lines({corrected(6, replacement), again})
                                 : lines({again, corrected(6, replacement)}));
      CHECK(problems(ward.ledger()).empty());
      CHECK(ward.refusals(packed("PK-1", R"(,"note":"a third")")).size() == 1);
      CHECK(ward.refusals(packed("PK-7", R"(,"note":"another")")).size() == (replacement == "null" ? 0U : 1U));
    }
  }
}

TEST_CASE("a correction of a correction belongs to the original and takes its id back") {
  WardLedger ward;
  ward.take(packed("PK-1"));
  ward.take(corrected(6, "null"));
  ward.take(corrected(7, packed("PK-2")));
  ward.take(corrected(6, packed("PK-3")));
  CHECK(ward.ledger().file().origin_of(7).value() == 6);
  CHECK(ward.ledger().file().origin_of(8).value() == 6);
  CHECK(ward.ledger().file().origin_of(9).value() == 6);
  CHECK(ward.refusals(packed("PK-3", R"(,"note":"x")")).size() == 1);
  ward.take(packed("PK-1", R"(,"note":"x")"));
  ward.take(packed("PK-2", R"(,"note":"x")"));
  const auto back = ward.refusals(corrected(9, packed("PK-1")));
  REQUIRE(back.size() == 1);
  CHECK(back[0].starts_with("replacement.pack: "));
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("two packs whose ids were exchanged are corrected in one file") {
  WardLedger ward;
  ward.take(lines({packed("PK-1"), packed("PK-2", R"(,"note":"second")")}));
  ward.take(lines({corrected(6, packed("PK-2")), corrected(7, packed("PK-1"))}));
  CHECK(problems(ward.ledger()).empty());
  CHECK(ward.refusals(packed("PK-1", R"(,"note":"x")")).size() == 1);
}

TEST_CASE("an original and its correction may stand in one file") {
  WardLedger ward;
  ward.take(lines({packed("PK-1"), corrected(6, packed("PK-2")), packed("PK-1", R"(,"note":"x")")}));
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a correction names an earlier event that can be corrected") {
  WardLedger ward;
  for (const std::int64_t of : {0, 7, 99}) {
    INFO(of);
    const auto refusals = ward.refusals(corrected(of, "null"));
    REQUIRE(refusals.size() == 1);
    CHECK(refusals[0].starts_with("of: "));
  }
  for (std::int64_t of = 1; of <= 5; ++of) {
    INFO(of);
    const auto refusals = ward.refusals(corrected(of, "null"));
    CHECK(refusals.empty() == (of == 4));  // only the facility may be described better
  }
}

TEST_CASE("events that the program writes by itself are not corrected and a placed curve is") {
  WardLedger ward;
  AppendOptions program;
  program.giver = events::Giver::program;
  const std::string sha(64, 'a');
  const std::string head = R"("at":"2026-10-05T09:00:00+05:00","by":"station-1",)";
  ward.append(
      {event_of(R"({"kind":"curve-measured",)" + head + R"("equipment":"AC-1","file":")" + sha +
                R"(","part":1,"from":"2026-10-05T08:00Z","until":"2026-10-05T09:00Z","interval_s":1,"reading":{}})"),
       event_of(R"({"kind":"curve-placed",)" + head + R"("curve":6,"load":null})"),
       event_of(R"({"kind":"curve-judged",)" + head +
                R"("curve":6,"sop":5,"program":"x","method":"dry-heat","verdict":"reached"})"),
       event_of(R"({"kind":"recall-opened",)" + head +
                R"("recall":"R-1","because":"chosen","subject":{},"as_of":"2026-10-05T00:00Z",)"
                R"("known_at":6,"counts":{},"answer":")" +
                sha + "\"}")},
      program);
  CHECK_EQ(ward.size(), first_seq + 3);
  CHECK_EQ(ward.refusals(corrected(6, "null")).size(), 1U);
  CHECK_EQ(ward.refusals(corrected(8, "null")).size(), 1U);
  CHECK_EQ(ward.refusals(corrected(9, "null")).size(), 1U);
  CHECK(ward.refusals(corrected(7, "null")).empty());
}

TEST_CASE("numbers and texts of the original are kept by their stand-ins") {
  WardLedger ward;
  const std::string head =
      R"({"kind":"procedure-done","at":"2026-10-05T09:00:00+05:00","by":"ana","procedure":"P-1","sort":"delivery",)"
      R"("place":"room","packs":[],)";
  ward.take(head + R"("patient":"12-345-678","newborns":["12-345-679"],"note":"calm night"})");
  const json::Value original = ward.entry(6);
  const std::string patient(*original.text_at("patient"));
  const std::string newborn = original.find("newborns")->items()[0].text();
  const std::string note(*original.find("note")->text_at("sha256"));
  const std::string kept = R"("patient":{"pseudonym":")" + patient + R"("},"newborns":[{"pseudonym":")" + newborn +
                           R"("}],"note":{"sha256":")" + note + "\"}";
  ward.take(corrected(6, head + kept + R"(,"implant":true})"));
  const json::Value correction = ward.entry(7);
  const json::Value* replacement = correction.find("replacement");
  CHECK(replacement->text_at("patient") == patient);
  CHECK(replacement->find("newborns")->items()[0].text() == newborn);
  CHECK(replacement->find("note")->text_at("sha256") == note);
  CHECK(problems(ward.ledger()).empty());
  // A known number gets its patient's pseudonym, and stand-ins of a correction serve the next one.
  ward.take(corrected(7, head + R"("patient":"12-345-678","note":"a better word"})"));
  const json::Value second = ward.entry(8);
  CHECK(second.find("replacement")->text_at("patient") == patient);
  const std::string better(*second.find("replacement")->find("note")->text_at("sha256"));
  ward.take(
      corrected(6, head + R"("patient":{"pseudonym":")" + patient + R"("},"note":{"sha256":")" + better + "\"}}"));
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("stand-ins of another event or invented ones are refused") {
  WardLedger ward;
  const std::string head =
      R"({"kind":"procedure-done","at":"2026-10-05T09:00:00+05:00","by":"ana","sort":"delivery","place":"room","packs":[],)";
  ward.take(lines({head + R"("procedure":"P-1","patient":"12-345-678","note":"one"})",
                   head + R"("procedure":"P-2","patient":"87-654-321","note":"two"})"}));
  const std::string other(*ward.entry(7).text_at("patient"));
  const std::string note(*ward.entry(7).find("note")->text_at("sha256"));
  for (const std::string& body : {R"("patient":{"pseudonym":")" + other + "\"}", R"("note":{"sha256":")" + note + "\"}",
                                  R"("patient":{"pseudonym":")" + std::string(32, 'a') + "\"}",
                                  R"("note":{"sha256":")" + std::string(64, 'a') + "\"}"}) {
    const auto refusals = ward.refusals(corrected(6, head + R"("procedure":"P-1",)" + body + "}"));
    INFO(body);
    REQUIRE(refusals.size() == 1);
    CHECK(refusals[0].starts_with("replacement"));
  }
  // Outside a correction there is nothing to keep.
  CHECK(!ward.refusals(head + R"("procedure":"P-3","patient":{"pseudonym":")" + other + "\"}}").empty());
}

TEST_CASE("a soak in a solution that disinfects is a load in any order of the lines") {
  for (const char* use : {"high-level-disinfection", "chemical-sterilization"}) {
    for (const bool soak_first : {true, false}) {
      WardLedger ward;
      const auto refusals = ward.refusals(soak_first ? lines({soaked("S-1"), prepared("S-1", use)})
                                                     : lines({prepared("S-1", use), soaked("S-1")}));
      REQUIRE(refusals.size() == 1);
      CHECK(refusals[0].starts_with("solution: "));
      CHECK(holds(refusals[0], use));
    }
    WardLedger ward;
    ward.take(prepared("S-1", use));
    CHECK_EQ(ward.refusals(soaked("S-1")).size(), 1U);
    ward.take(corrected(6, prepared("S-1", "decontamination")));
    CHECK(ward.refusals(soaked("S-1")).empty());
  }
  WardLedger ward;
  ward.take(lines({soaked("S-1"), prepared("S-2", "decontamination"), soaked("S-2")}));
}

TEST_CASE("a soak inside a correction is looked at like every other") {
  WardLedger ward;
  ward.take(lines({prepared("S-1", "high-level-disinfection"), prepared("S-2", "decontamination"), soaked("S-2")}));
  const auto refusals = ward.refusals(corrected(8, soaked("S-1")));
  REQUIRE(refusals.size() == 1);
  CHECK(refusals[0].starts_with("replacement.solution: "));
}

TEST_CASE("a reference to what was never introduced is taken") {
  WardLedger ward;
  const std::string head = R"("at":"2026-10-05T09:00:00+05:00","by":"nobody-enrolled",)";
  ward.take(lines({R"({"kind":"load-ended",)" + head + R"("load":"L-9","complete":true})",
                   R"({"kind":"pack-opened",)" + head + R"("pack":"PK-9"})",
                   R"({"kind":"indicator-read",)" + head + R"("load":"L-8","result":"fail"})",
                   R"({"kind":"procedure-done",)" + head +
                       R"("procedure":"P-9","sort":"delivery","place":"room","packs":["PK-8"]})"}));
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("good lines are kept and refused ones told when that was asked for") {
  WardLedger ward;
  const Appended report = ward.record(
      lines({packed("PK-1"), packed("P K"), packed("PK-1", R"(,"note":"again")"), packed("PK-2"), "not json"}),
      OnRefusal::keep_good);
  CHECK_EQ(report.taken, 2);
  REQUIRE(report.refusals.size() == 3);
  CHECK_EQ(report.refusals[0].line, 2);
  CHECK_EQ(report.refusals[1].line, 3);
  CHECK_EQ(report.refusals[2].line, 5);
  CHECK_EQ(ward.size(), first_seq + 1);
  CHECK(ward.entry(first_seq + 1).text_at("pack") == "PK-2");
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("without being asked one refused line refuses the whole file and no byte is written") {
  WardLedger ward;
  const std::string before = file_bytes(ward.path());
  const Appended report = ward.record(lines({packed("PK-1"), packed("P K")}));
  CHECK_EQ(report.taken, 0);
  CHECK(report.seqs == std::vector<std::int64_t>{0, 0});
  CHECK_EQ(report.refusals.size(), 1U);
  CHECK_EQ(file_bytes(ward.path()), before);
}
