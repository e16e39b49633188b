#include "ledger/base/time.h"

#include "tests/support/test.h"

using namespace trayproof;

namespace {

std::string rewritten(std::string_view text) {
  const auto time = parse_date_time(text);
  return time ? format_date_time(*time) : "refused";
}

std::string span(std::string_view text, Precision precision) {
  const Span span = span_of(*parse_date_time(text), precision);
  return format_recorded(span.earliest) + " " + format_recorded(span.latest);
}

}  // namespace

// docs/ledger-format.md, "Values": `YYYY-MM-DDThh:mm[:ss[.f…]]` with `Z` or `±hh:mm`, years 1900 to 2199.
TEST_CASE("a time is taken in every spelling of the format and written in one") {
  struct Row {
    const char* given;
    const char* hashed;
  };
  const Row rows[] = {
      {"2026-10-05T09:00Z", "2026-10-05T09:00:00+00:00"},
      {"2026-10-05T09:00+05:00", "2026-10-05T09:00:00+05:00"},
      {"2026-10-05T09:00-03:30", "2026-10-05T09:00:00-03:30"},
      {"2026-10-05T09:00:07+05:45", "2026-10-05T09:00:07+05:45"},
      {"2026-10-05T09:00:07Z", "2026-10-05T09:00:07+00:00"},
      {"2026-10-05T09:00:07+00:00", "2026-10-05T09:00:07+00:00"},
      {"2026-10-05T09:00:07-00:00", "2026-10-05T09:00:07+00:00"},
      {"2026-10-05T09:00:07.5Z", "2026-10-05T09:00:07.5+00:00"},
      {"2026-10-05T09:00:07.50Z", "2026-10-05T09:00:07.5+00:00"},
      {"2026-10-05T09:00:07.500Z", "2026-10-05T09:00:07.5+00:00"},
      {"2026-10-05T09:00:07.12Z", "2026-10-05T09:00:07.12+00:00"},
      {"2026-10-05T09:00:07.123Z", "2026-10-05T09:00:07.123+00:00"},
      {"2026-10-05T09:00:07.001Z", "2026-10-05T09:00:07.001+00:00"},
      {"2026-10-05T09:00:07.000Z", "2026-10-05T09:00:07+00:00"},
      {"2026-10-05T00:00Z", "2026-10-05T00:00:00+00:00"},
      {"2026-10-05T23:59:59.999+14:00", "2026-10-05T23:59:59.999+14:00"},
      {"1900-01-01T00:00Z", "1900-01-01T00:00:00+00:00"},
      {"2199-12-31T23:59:59Z", "2199-12-31T23:59:59+00:00"},
      {"2024-02-29T12:00Z", "2024-02-29T12:00:00+00:00"},
      {"2000-02-29T12:00Z", "2000-02-29T12:00:00+00:00"},
  };
  for (const Row& row : rows) {
    INFO(std::string(row.given));
    CHECK_EQ(rewritten(row.given), row.hashed);
    CHECK_EQ(rewritten(row.hashed), row.hashed);
  }
}

TEST_CASE("a time in any other spelling is refused") {
  const char* rows[] = {
      "",
      "2026-10-05",
      "2026-10-05T09Z",
      "2026-10-05T09:00",
      "2026-10-05T09:00:00",
      "2026-10-05 09:00Z",
      "2026-10-05t09:00Z",
      "2026-10-05T09:00z",
      "2026-10-05T09:00:60Z",
      "2026-10-05T24:00Z",
      "2026-10-05T23:60Z",
      "2026-13-01T00:00Z",
      "2026-00-01T00:00Z",
      "2026-02-29T00:00Z",
      "2100-02-29T00:00Z",
      "2026-04-31T00:00Z",
      "2026-10-00T00:00Z",
      "1899-12-31T23:59Z",
      "2200-01-01T00:00Z",
      "2026-10-05T09:00:07.Z",
      "2026-10-05T09:00:07.1234Z",
      "2026-10-05T09:00:07,5Z",
      "2026-10-05T09:00.5Z",
      "2026-10-05T09:00+0500",
      "2026-10-05T09:00+05",
      "2026-10-05T09:00+5:00",
      "2026-10-05T09:00+24:00",
      "2026-10-05T09:00+05:60",
      "2026-10-05T09:00 +05:00",
      " 2026-10-05T09:00Z",
      "2026-10-05T09:00Z ",
      "2026-1-05T09:00Z",
      "26-10-05T09:00Z",
      "20261005T0900Z",
      "2026-10-05T9:00Z",
      "+2026-10-05T09:00Z",
      "2026-10-05T09:00:7Z",
      "2026-10-05T-9:00Z",
      "2026-W41-1T09:00Z",
      "2026-10-05T09:00ZZ",
      "2026-10-05T09:00:00Z+05:00",
  };
  for (const char* row : rows) {
    INFO(std::string(row));
    CHECK_EQ(rewritten(row), "refused");
  }
}

TEST_CASE("two spellings of one moment are the same instant") {
  CHECK(parse_date_time("2026-10-05T09:00+05:00")->instant == parse_date_time("2026-10-05T04:00:00Z")->instant);
  CHECK(parse_date_time("2026-10-05T09:00-00:00")->instant == parse_date_time("2026-10-05T09:00Z")->instant);
  CHECK(parse_date_time("2026-10-05T00:30+05:30")->instant == parse_date_time("2026-10-04T19:00Z")->instant);
  CHECK(parse_date_time("2026-10-05T09:00:00.001Z")->instant > parse_date_time("2026-10-05T09:00Z")->instant);
}

TEST_CASE("a date is a day that exists between 1900 and 2199") {
  for (const char* good : {"1900-01-01", "2026-10-05", "2024-02-29", "2199-12-31"}) {
    INFO(std::string(good));
    REQUIRE(parse_date(good));
    CHECK_EQ(format_date(*parse_date(good)), good);
  }
  for (const char* bad :
       {"", "2026-10-5", "2026-02-29", "1899-12-31", "2200-01-01", "2026-10-05T00:00Z", "05-10-2026", "2026/10/05"}) {
    INFO(std::string(bad));
    CHECK(!parse_date(bad));
  }
}

TEST_CASE("days are counted from 1970 through every leap rule and back") {
  CHECK_EQ(days_since_epoch({1970, 1, 1}), 0);
  CHECK_EQ(days_since_epoch({2000, 3, 1}), 11017);  // date -u -d 2000-03-01 +%s gives 951868800 = 11017 days
  CHECK_EQ(days_since_epoch({1969, 12, 31}), -1);
  CivilDate expected{1900, 1, 1};
  for (std::int64_t day = days_since_epoch({1900, 1, 1}); day <= days_since_epoch({2199, 12, 31}); ++day) {
    REQUIRE(date_of_days(day) == expected);
    REQUIRE(days_since_epoch(expected) == day);
    ++expected.day;
    if (!is_date(expected)) expected = {expected.year, expected.month + 1, 1};
    if (!is_date(expected)) expected = {expected.year + 1, 1, 1};
  }
}

TEST_CASE("recorded is always written in UTC with three digits") {
  CHECK_EQ(format_recorded(parse_date_time("2026-10-05T09:00+05:00")->instant), "2026-10-05T04:00:00.000Z");
  CHECK_EQ(format_recorded(parse_date_time("2026-10-05T09:00:01.25Z")->instant), "2026-10-05T09:00:01.250Z");
}

TEST_CASE("a precision spans the whole minute hour or day in the offset of the time itself") {
  CHECK_EQ(span("2026-10-05T09:17:31.5+05:45", Precision::second), "2026-10-05T03:32:31.500Z 2026-10-05T03:32:31.500Z");
  CHECK_EQ(span("2026-10-05T09:17:31+05:45", Precision::minute), "2026-10-05T03:32:00.000Z 2026-10-05T03:32:59.999Z");
  // The hour of a clock that is 45 minutes off the hour of UTC.
  CHECK_EQ(span("2026-10-05T09:17:31+05:45", Precision::hour), "2026-10-05T03:15:00.000Z 2026-10-05T04:14:59.999Z");
  CHECK_EQ(span("2026-10-05T09:17:31+05:45", Precision::day), "2026-10-04T18:15:00.000Z 2026-10-05T18:14:59.999Z");
  CHECK_EQ(span("2026-10-05T23:30-03:30", Precision::day), "2026-10-05T03:30:00.000Z 2026-10-06T03:29:59.999Z");
  CHECK_EQ(span("1950-10-05T09:17:31Z", Precision::hour), "1950-10-05T09:00:00.000Z 1950-10-05T09:59:59.999Z");
}

TEST_CASE("a precision is one of four words") {
  CHECK(parse_precision("second") == Precision::second);
  CHECK(parse_precision("minute") == Precision::minute);
  CHECK(parse_precision("hour") == Precision::hour);
  CHECK(parse_precision("day") == Precision::day);
  for (const char* other : {"", "Day", "week", "minutes", "seconds"}) CHECK(!parse_precision(other));
}
