// A file of events as it comes: line ends, marks, blank lines, limits.
#include "ledger/base/limits.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

std::string opening(const std::string& pack, const std::string& more = "") {
  return R"({"kind":"pack-opened","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":")" + pack + "\"" + more + "}";
}

}  // namespace

TEST_CASE("line ends of every machine and blank lines and a byte-order mark are taken") {
  for (const std::string& file :
       {opening("PK-1") + "\n" + opening("PK-2") + "\n", opening("PK-1") + "\r\n" + opening("PK-2") + "\r\n",
        "\xEF\xBB\xBF" + opening("PK-1") + "\n\n \t \n" + opening("PK-2"),
        "\n\n" + opening("PK-1") + "\n" + opening("PK-2")}) {
    WardLedger ward;
    const Appended report = ward.record(file);
    CHECK_EQ(report.taken, 2);
    CHECK(report.refusals.empty());
  }
}

TEST_CASE("an empty file is taken as nothing") {
  WardLedger ward;
  for (const char* file : {"", "\n", "\r\n \n", "\xEF\xBB\xBF"}) {
    const Appended report = ward.record(file);
    CHECK_EQ(report.taken + report.repeated, 0);
    CHECK(report.refusals.empty());
  }
}

TEST_CASE("refusals carry the number of their line with blank lines counted") {
  WardLedger ward;
  const Appended report =
      ward.record("\n" + opening("PK-1") + "\n\nnot json\n" + opening("P K") + "\n[1]\n{\"a\":1,\"a\":2}\n");
  REQUIRE(report.refusals.size() >= 4);
  CHECK_EQ(report.refusals[0].line, 4);
  CHECK_EQ(report.refusals[1].line, 5);
  CHECK_EQ(report.refusals[1].field, "pack");
  CHECK_EQ(report.refusals[2].line, 6);
  CHECK_EQ(report.refusals[3].line, 7);
}

TEST_CASE("a line or an entry above the limit is refused and one below is taken") {
  WardLedger ward;
  CHECK_EQ(ward.refusals(opening("PK-1", "") + std::string(limits::entry_bytes, ' ')).size(), 1U);
  // Two thousand ids of 64 characters with two bytes each pass every other limit and are too long for an entry.
  std::string packs;
  for (int i = 0; i < 2000; ++i) {
    const std::string number = std::to_string(1000 + i);
    packs += (i == 0 ? "\"" : ",\"") + number;
    for (int k = 0; k < 60; ++k) packs += "ä";
    packs += "\"";
  }
  const std::string load =
      R"({"kind":"load-started","at":"2026-10-05T09:00:00+05:00","by":"ana","load":"L-1","method":"dry-heat","equipment":"E","packs":[)";
  REQUIRE(packs.size() < limits::entry_bytes);
  CHECK(ward.refusals(load + packs + "]}").empty());
  std::string emoji = packs;
  for (std::size_t at = emoji.find("ä"); at != std::string::npos; at = emoji.find("ä", at + 4))
    emoji.replace(at, 2, "𐐀");
  CHECK(!ward.refusals(load + emoji + "]}").empty());
}

TEST_CASE("entries are the canonical bytes of what was given and what the ledger adds") {
  WardLedger ward;
  const std::string given[] = {
      opening(
          "PK-1",
          R"(,"precision":"minute","paper":"sheet 2","as_read":{"pack":"PK 1"},"entered":"2026-10-05T09:01Z","slip":"s-1")"),
      R"({"kind":"set-defined","at":"2026-10-05T09:00Z","by":"ana","set":"DS-1","title":"Größe","contact":"critical","items":[{"item":"x","count":2.0}]})",
      R"({"kind":"remarked","at":"2026-10-05T09:00Z","by":"ana","subject":{"kind":"set","id":"DS-1"},"text":"x","files":[]})"};
  ward.clock().set(parse_date_time("2026-10-05T12:00Z")->instant);
  std::string file;
  for (const std::string& one : given) file += one + "\n";
  ward.take(file);
  for (std::int64_t seq = 1; seq <= ward.size(); ++seq) {
    const std::string bytes = ward.bytes_of(seq);
    CHECK_EQ(json::canonical(event_of(bytes)), bytes);
  }
  const json::Value first = ward.entry(6);
  CHECK(first.text_at("entered") == "2026-10-05T09:01:00+00:00");
  CHECK(first.text_at("slip") == "s-1");
  CHECK(first.find("as_read")->text_at("pack") == "PK 1");
  CHECK(holds(ward.bytes_of(7), R"("count":2,)"));
}

TEST_CASE("every member name sorts among the ledger's own wherever it falls") {
  // Fields before, between and after key, prev, recorded, seq, signs, station and v.
  WardLedger ward;
  ward.take(
      R"({"kind":"cleaned","at":"2026-10-05T09:00+05:00","by":"ana","set":"DS-1","method":"manual"})"
      "\n"
      R"({"kind":"biological-placed","at":"2026-10-05T09:00+05:00","by":"ana","biological":"B-1","load":"L-1","where":"challenge"})"
      "\n"
      R"({"kind":"counted","at":"2026-10-05T09:00+05:00","by":"ana","what":"births","from":"2026-10-01T00:00Z","until":"2026-10-02T00:00Z","number":1})");
  for (std::int64_t seq = 6; seq <= 8; ++seq) {
    const std::string bytes = ward.bytes_of(seq);
    CHECK_EQ(json::canonical(event_of(bytes)), bytes);
  }
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a long file is taken in the order of its lines") {
  WardLedger ward;
  std::string file;
  for (int i = 0; i < 5000; ++i) file += opening("PK-" + std::to_string(i)) + "\n";
  const Appended report = ward.record(file);
  REQUIRE(report.seqs.size() == 5000);
  for (std::size_t i = 0; i < 5000; ++i) REQUIRE(report.seqs[i] == first_seq + static_cast<std::int64_t>(i));
  for (int i = 0; i < 5000; i += 617) CHECK(ward.entry(first_seq + i).text_at("pack") == "PK-" + std::to_string(i));
}
