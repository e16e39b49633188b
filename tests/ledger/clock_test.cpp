// The machine's clock: recorded as read, noted when it goes back, and never a reason to lose what happened.
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

std::string opening(const std::string& pack, const std::string& at, const std::string& precision = "second") {
  return R"({"kind":"pack-opened","at":")" + at + R"(","precision":")" + precision + R"(","by":"ana","pack":")" + pack +
         "\"}";
}

}  // namespace

// The default edition allows records.clock_minutes = 5.
TEST_CASE("what happened later than the clock and its allowance is refused") {
  WardLedger ward;
  CHECK(ward.refusals(opening("PK-1", "2026-10-05T12:05:00+05:00")).empty());
  const auto refusals = ward.refusals(opening("PK-2", "2026-10-05T12:05:00.001+05:00"));
  REQUIRE(refusals.size() == 1);
  CHECK(refusals[0].starts_with("at: "));
  CHECK(holds(refusals[0], "2026-10-05T07:00:00.000Z"));
  CHECK(ward.refusals(opening("PK-3", "2026-10-05T12:05:59+05:00", "minute")).empty());
  CHECK_EQ(ward.refusals(opening("PK-4", "2026-10-05T12:06:00+05:00", "minute")).size(), 1U);
  CHECK(ward.refusals(opening("PK-5", "2026-10-05T23:59:59+05:00", "day")).empty());
  CHECK_EQ(ward.refusals(opening("PK-6", "2026-10-06T00:00:00+05:00", "day")).size(), 1U);
  const std::string correction =
      R"({"kind":"corrected","at":"2026-10-05T12:00:00+05:00","by":"ana","of":6,"why":"x","replacement":)";
  const auto inner = ward.refusals(correction + opening("PK-1", "2026-10-05T13:00:00+05:00") + "}");
  REQUIRE(inner.size() == 1);
  CHECK(inner[0].starts_with("replacement.at: "));
}

TEST_CASE("what happened long before the ledger was made is taken") {
  WardLedger ward;
  CHECK(ward.refusals(opening("PK-1", "1999-12-31T23:59:00Z")).empty());
}

TEST_CASE("a clock that went back is noted first and refuses nothing") {
  WardLedger ward;
  ward.take(opening("PK-1", "2026-10-05T11:00:00+05:00"));
  ward.clock().set(parse_date_time("2026-10-01T00:00Z")->instant);
  const Appended report =
      ward.record(opening("PK-2", "2026-10-05T11:30:00+05:00") + "\n" + opening("PK-3", "2026-10-05T11:31:00+05:00"));
  CHECK(report.refusals.empty());
  CHECK_EQ(report.taken, 2);
  CHECK(report.seqs == std::vector<std::int64_t>{8, 9});
  const json::Value note = ward.entry(7);
  CHECK(note.text_at("kind") == "clock-noted");
  CHECK(note.text_at("was") == "2026-10-05T07:00:00+00:00");
  CHECK(note.text_at("now") == "2026-10-01T00:00:00+00:00");
  CHECK(note.text_at("recorded") == "2026-10-01T00:00:00.000Z");
  CHECK(note.text_at("by") == "station-1");
  CHECK(ward.ledger().entry(7).value().sig.empty());
  CHECK(ward.entry(9).number_at("signs") == 7.0);
  CHECK(problems(ward.ledger()).empty());
  // Noted once; the clock is still known to be wrong.
  CHECK(ward.refusals(opening("PK-4", "2026-10-05T11:32:00+05:00")).empty());
  CHECK_EQ(ward.size(), 10);
  // Set right again, the future is refused again.
  ward.clock().set(noon());
  CHECK(ward.refusals(opening("PK-5", "2026-10-05T11:33:00+05:00")).empty());
  CHECK_EQ(ward.refusals(opening("PK-6", "2026-10-05T13:00:00+05:00")).size(), 1U);
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a clock that went back by less than the allowance is not noted") {
  WardLedger ward;
  ward.clock().move(-5 * minute_ms);
  ward.take(opening("PK-1", "2026-10-05T11:00:00+05:00"));
  CHECK_EQ(ward.size(), first_seq);
  CHECK(ward.entry(first_seq).text_at("recorded") == "2026-10-05T06:55:00.000Z");
}

TEST_CASE("a clock that went back is not noted for a repeat or a refused file") {
  WardLedger ward;
  ward.take(opening("PK-1", "2026-10-05T11:00:00+05:00"));
  ward.clock().set(parse_date_time("2026-10-01T00:00Z")->instant);
  CHECK_EQ(ward.record(opening("PK-1", "2026-10-05T11:00:00+05:00")).repeated, 1);
  CHECK_EQ(ward.refusals(opening("P K", "2026-10-05T11:00:00+05:00")).size(), 1U);
  CHECK_EQ(ward.size(), first_seq);
}

TEST_CASE("a correction of a noted clock is refused and numbers of seqs stay true") {
  WardLedger ward;
  ward.take(opening("PK-1", "2026-10-05T11:00:00+05:00"));
  ward.clock().set(parse_date_time("2026-10-01T00:00Z")->instant);
  const std::string of =
      R"({"kind":"corrected","at":"2026-10-01T00:00Z","by":"ana","why":"x","replacement":null,"of":)";
  CHECK_EQ(ward.refusals(opening("PK-2", "2026-10-05T11:00:00+05:00") + "\n" + of + "7}").size(), 1U);
  ward.take(opening("PK-2", "2026-10-05T11:00:00+05:00") + "\n" + of + "8}");
  CHECK(ward.ledger().file().origin_of(9).value() == 8);
  CHECK(problems(ward.ledger()).empty());
}
