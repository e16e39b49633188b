// docs/ledger-format.md, "Repeats".
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

const std::string packed =
    R"({"kind":"packed","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":"PK-1","set":"DS-1","wrap":"wrapped")";
const std::string delivery =
    R"({"kind":"procedure-done","at":"2026-10-05T09:00:00+05:00","by":"ana","procedure":"P-1","sort":"delivery",)"
    R"("place":"room","packs":[],"patient":"12-345-678","newborns":["12-345-679"],"note":"calm night")";

std::string line(const std::string& start, const std::string& more = "") { return start + more + "}\n"; }

}  // namespace

TEST_CASE("a file recorded again changes nothing and is answered with the first seqs") {
  WardLedger ward;
  const std::string lines =
      line(packed) + line(delivery) +
      R"({"kind":"counted","at":"2026-10-05T01:00Z","by":"ana","what":"births","from":"2026-10-01T00:00Z",)"
      R"("until":"2026-10-05T00:00Z","number":3,"source":"register"})";
  CHECK_EQ(ward.take(lines), first_seq + 2);
  const std::string before = file_bytes(ward.path());
  const Appended again = ward.record(lines);
  CHECK_EQ(again.taken, 0);
  CHECK_EQ(again.repeated, 3);
  CHECK_EQ(again.first, first_seq);
  CHECK_EQ(again.last, first_seq + 2);
  CHECK(again.seqs == std::vector<std::int64_t>{first_seq, first_seq + 1, first_seq + 2});
  CHECK(again.refusals.empty());
  CHECK_EQ(file_bytes(ward.path()), before);
}

TEST_CASE("a file with old and new lines takes the new ones only") {
  WardLedger ward;
  ward.take(line(packed));
  const Appended report =
      ward.record(line(packed) + R"({"kind":"pack-opened","at":"2026-10-05T10:00+05:00","by":"ana","pack":"PK-1"})");
  CHECK_EQ(report.taken, 1);
  CHECK_EQ(report.repeated, 1);
  CHECK(report.seqs == std::vector<std::int64_t>{first_seq, first_seq + 1});
}

TEST_CASE("a line that stands twice in a file is one event") {
  WardLedger ward;
  const Appended report = ward.record(line(delivery) + line(delivery) + line(delivery));
  CHECK_EQ(report.taken, 1);
  CHECK_EQ(report.repeated, 2);
  CHECK(report.seqs == std::vector<std::int64_t>{first_seq, first_seq, first_seq});
  CHECK_EQ(ward.size(), first_seq);
}

TEST_CASE("two single entries typed alike are two events") {
  WardLedger ward;
  AppendOptions single;
  single.same_content_repeats = false;
  const std::string opening = R"({"kind":"pack-opened","at":"2026-10-05T09:00Z","by":"ana","pack":"PK-1"})";
  ward.clock().set(parse_date_time("2026-10-05T15:00Z")->instant);
  CHECK_EQ(ward.append({event_of(opening)}, single).taken, 1);
  CHECK_EQ(ward.append({event_of(opening)}, single).taken, 1);
  CHECK_EQ(ward.size(), first_seq + 1);
}

TEST_CASE("the same slip with the same content is the same event at another offset and entered at another time") {
  WardLedger ward;
  ward.take(line(packed, R"(,"slip":"s-1","entered":"2026-10-05T09:01:00+05:00")"));
  const std::string shifted =
      R"({"kind":"packed","at":"2026-10-05T04:00:00.000Z","by":"ana","pack":"PK-1","set":"DS-1","wrap":"wrapped",)"
      R"("slip":"s-1","entered":"2026-10-05T09:55:00+05:00"})";
  AppendOptions single;
  single.same_content_repeats = false;
  const Appended again = ward.append({event_of(shifted)}, single);
  CHECK_EQ(again.taken, 0);
  CHECK_EQ(again.repeated, 1);
  CHECK_EQ(again.first, first_seq);
  const Appended file = ward.record(shifted);
  CHECK_EQ(file.repeated, 1);
}

TEST_CASE("the same content under another slip is another event") {
  WardLedger ward;
  const std::string opening = R"({"kind":"pack-opened","at":"2026-10-05T09:00+05:00","by":"ana","pack":"PK-1")";
  CHECK_EQ(ward.take(line(opening, R"(,"slip":"s-1")") + line(opening, R"(,"slip":"s-2")")), first_seq + 1);
}

TEST_CASE("a slip with other content is refused with the seq that has it") {
  WardLedger ward;
  ward.take(line(delivery, R"(,"slip":"s-1")"));
  const auto changed = [&](const std::string& from, const std::string& to) {
    std::string other = line(delivery, R"(,"slip":"s-1")");
    other.replace(other.find(from), from.size(), to);
    const auto refusals = ward.refusals(other);
    INFO(other);
    REQUIRE(refusals.size() == 1);
    CHECK(refusals[0].starts_with("slip: "));
    CHECK(holds(refusals[0], "seq 6"));
  };
  changed("09:00:00+05:00", "09:00:01+05:00");
  changed("\"P-1\"", "\"P-2\"");
  changed("delivery", "caesarean");
  changed("12-345-678", "12-345-670");
  changed("12-345-679", "12-345-670");
  changed("calm night", "calm nights");
  changed(R"("note":"calm night")", R"("implant":false)");
  changed(R"(,"note":"calm night")", "");
  changed("\"packs\":[]", "\"packs\":[\"PK-1\"]");
  CHECK_EQ(ward.size(), first_seq);
}

TEST_CASE("a slip with two contents in one file is refused with the line that has it") {
  WardLedger ward;
  const std::string opening = R"({"kind":"pack-opened","at":"2026-10-05T09:00+05:00","by":"ana","slip":"s-1","pack":)";
  const auto refusals = ward.refusals(opening + "\"PK-1\"}\n" + opening + "\"PK-2\"}\n");
  REQUIRE(refusals.size() == 1);
  CHECK(holds(refusals[0], "line 1"));
  CHECK_EQ(ward.size(), first_seq - 1);
}

TEST_CASE("a text that was removed is not compared") {
  WardLedger ward;
  ward.take(line(delivery, R"(,"slip":"s-1")"));
  REQUIRE(ward.ledger().file().database().run("DELETE FROM texts").ok());
  std::string other = line(delivery, R"(,"slip":"s-1")");
  other.replace(other.find("calm night"), 10, "whatever it was");
  const Appended again = ward.record(other);
  CHECK_EQ(again.repeated, 1);
  CHECK(again.refusals.empty());
  auto texts = ward.ledger().file().database().prepare("SELECT count(*) FROM texts");
  REQUIRE(texts.ok());
  REQUIRE(texts.value().step().ok());
  CHECK_EQ(texts.value().integer(0), 0);  // a repeat stores nothing again
}

TEST_CASE("an erased patient is not compared and a repeat seals nothing again") {
  WardLedger ward;
  ward.take(line(delivery, R"(,"slip":"s-1")"));
  REQUIRE(ward.ledger().file().database().run("DELETE FROM patients").ok());
  std::string other = line(delivery, R"(,"slip":"s-1")");
  other.replace(other.find("12-345-678"), 10, "99-999-999");
  CHECK_EQ(ward.record(other).repeated, 1);
  CHECK_EQ(ward.record(line(delivery)).repeated, 1);
  auto patients = ward.ledger().file().database().prepare("SELECT count(*) FROM patients");
  REQUIRE(patients.ok());
  REQUIRE(patients.value().step().ok());
  CHECK_EQ(patients.value().integer(0), 0);
}

TEST_CASE("what was read from the gauge is content whatever its field is called") {
  WardLedger ward;
  const std::string opening =
      R"({"kind":"procedure-done","at":"2026-10-05T09:00+05:00","by":"ana","procedure":"P-1","sort":"delivery",)"
      R"("place":"room","packs":[],"slip":"s-1","as_read":{"patient":")";
  ward.take(opening + "label one\"}}");
  CHECK(ward.refusals(opening + "label two\"}}").size() == 1);
  CHECK_EQ(ward.record(opening + "label one\"}}").repeated, 1);
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a number that became known later does not undo what was taken") {
  WardLedger ward;
  const std::string early =
      R"({"kind":"remarked","at":"2026-10-05T09:00+05:00","by":"ana","subject":{"kind":"set","id":"DS-1"},)"
      R"("text":"see sheet 12-345-678"})";
  ward.take(early);
  ward.take(line(delivery));
  const Appended again = ward.record(early);
  CHECK_EQ(again.repeated, 1);
  CHECK(again.refusals.empty());
}

TEST_CASE("corrections repeat like every other event") {
  WardLedger ward;
  ward.take(line(delivery));
  const std::string correction =
      R"({"kind":"corrected","at":"2026-10-05T10:00+05:00","by":"ana","of":6,"why":"wrong room",)"
      R"("replacement":)" +
      delivery + "}}";
  CHECK_EQ(ward.take(correction), first_seq + 1);
  const Appended again = ward.record(correction);
  CHECK_EQ(again.repeated, 1);
  CHECK_EQ(again.first, first_seq + 1);
  std::string other = correction;
  other.replace(other.find("\"room\""), 6, "\"ward\"");
  CHECK_EQ(ward.record(other).taken, 1);
}
