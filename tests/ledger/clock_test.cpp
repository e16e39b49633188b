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
  CHECK(holds(refusals[0], "(2026-10-05T12:00:00+05:00)"));  // the clock beside it, with the same offset
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

// A flat battery, a wrong date typed in, a correction, and again: over several appends, each of which must be taken.
TEST_CASE(
    "a clock that jumps back and forth over several appends is noted each time it goes back and freezes nothing") {
  WardLedger ward;
  struct Moment {
    const char* clock;
    const char* at;
    bool noted;
  };
  const Moment moments[] = {
      {"2026-10-05T07:10:00Z", "2026-10-05T07:00:00Z", false},
      // An hour and more forward: nobody can tell a jump from a quiet night.
      {"2026-10-05T13:00:00Z", "2026-10-05T07:05:00Z", false},
      {"2031-01-01T00:00:00Z", "2026-10-05T07:06:00Z", false},
      // Set right: that is a step back of years.
      {"2026-10-05T07:20:00Z", "2026-10-05T07:07:00Z", true},
      {"2026-10-05T07:21:00Z", "2026-10-05T07:08:00Z", false},
      {"2019-01-01T00:00:00Z", "2026-10-05T07:09:00Z", true},
      {"2019-01-01T00:01:00Z", "2026-10-05T07:10:00Z", false},
      // Back once more, while it was wrong already.
      {"2018-01-01T00:00:00Z", "2026-10-05T07:11:00Z", true},
      {"2026-10-05T07:30:00Z", "2026-10-05T07:12:00Z", false},
      // By the allowance of the SOP and no more.
      {"2026-10-05T07:25:00Z", "2026-10-05T07:13:00Z", false},
  };
  int pack = 0;
  for (const Moment& moment : moments) {
    INFO(moment.clock);
    ward.clock().set(parse_date_time(moment.clock)->instant);
    const std::int64_t before = ward.size();
    const Appended done = ward.record(opening("PK-" + std::to_string(++pack), moment.at));
    CHECK(done.refusals.empty());
    CHECK_EQ(done.taken, 1);
    CHECK_EQ(ward.size(), before + (moment.noted ? 2 : 1));
    CHECK((ward.entry(before + 1).text_at("kind") == "clock-noted") == moment.noted);
    CHECK(ward.entry(ward.size()).text_at("recorded") == format_recorded(ward.clock().now()));
    if (pack % 3 == 0) ward.reopen();
  }
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("an edition adopted under a wrong clock freezes nothing") {
  WardLedger ward;
  ward.clock().set(parse_date_time("2031-01-01T00:00:00Z")->instant);
  ward.take(opening("PK-1", "2026-10-05T07:00:00Z"));
  ward.clock().set(parse_date_time("2001-01-01T00:00:00Z")->instant);  // before the first edition was in force
  CHECK(ward.refusals(opening("PK-2", "2026-10-05T07:01:00Z")).empty());
  CHECK(ward.ledger().sign_checkpoint().ok());
  CHECK(problems(ward.ledger()).empty());
}

// A program that stays open sees the hands turn; one that was not there can only tell that they went back.
TEST_CASE("a clock that jumps forward under an open ledger is noted and set right it is believed again") {
  WardLedger ward;
  ward.take(opening("PK-1", "2026-10-05T11:00:00+05:00"));
  ward.clock().move(20 * hour_ms);  // a night without an event is no jump
  ward.take(opening("PK-2", "2026-10-05T11:01:00+05:00"));
  CHECK_EQ(ward.size(), first_seq + 1);
  const Instant before = ward.clock().now();
  ward.clock().turn_to(parse_date_time("2031-01-01T00:00:00Z")->instant);
  ward.take(opening("PK-3", "2026-10-05T11:02:00+05:00"));
  const json::Value jump = ward.entry(first_seq + 2);
  CHECK(jump.text_at("kind") == "clock-noted");
  CHECK(jump.text_at("was") == format_date_time({before, 0}));
  CHECK(jump.text_at("now") == "2031-01-01T00:00:00+00:00");
  ward.take(opening("PK-4", "2026-10-05T11:03:00+05:00"));
  CHECK_EQ(ward.size(), first_seq + 4);  // noted once
  // Set right: noted, and what is later than the clock is refused again.
  ward.clock().turn_to(Instant{before.ms + minute_ms});
  CHECK(ward.refusals(opening("PK-5", "2026-10-05T11:04:00+05:00")).empty());
  CHECK(ward.entry(first_seq + 5).text_at("kind") == "clock-noted");
  CHECK_EQ(ward.refusals(opening("PK-6", "2026-12-05T11:04:00+05:00")).size(), 1U);
  // Back since the ledger was opened, though not before the last entry.
  ward.clock().move(10 * hour_ms);
  ward.reopen();
  ward.clock().turn_to(Instant{ward.clock().now().ms - 2 * hour_ms});
  ward.take(opening("PK-7", "2026-10-05T11:05:00+05:00"));
  CHECK(ward.entry(ward.size() - 1).text_at("kind") == "clock-noted");
  // By the allowance and no more.
  ward.clock().turn_to(Instant{ward.clock().now().ms + 5 * minute_ms});
  const std::int64_t size = ward.size();
  ward.take(opening("PK-8", "2026-10-05T11:06:00+05:00"));
  CHECK_EQ(ward.size(), size + 1);
  CHECK(problems(ward.ledger()).empty());
}
