#include "ledger/base/zone.h"

#include "tests/support/test.h"

using namespace trayproof;

namespace {

Zone zone(std::string_view name) {
  auto found = Zone::find(name);
  REQUIRE(found.ok());
  return std::move(found).value();
}

Instant at(std::string_view text) { return parse_date_time(text)->instant; }

}  // namespace

TEST_CASE("a zone is found by its IANA name and by nothing else") {
  CHECK(Zone::find("UTC").ok());
  CHECK(Zone::find("Etc/GMT-5").ok());
  CHECK(Zone::find("Europe/Berlin").ok());
  for (const char* other : {"", "Nowhere/At-All", "+05:00", "../../etc/passwd", "europe"}) {
    INFO(std::string(other));
    const auto found = Zone::find(other);
    REQUIRE(!found.ok());
    CHECK(found.error().code() == ErrorCode::missing);
  }
}

// tzdata: Etc zones have the sign of POSIX, so Etc/GMT-5 is five hours ahead of UTC.
TEST_CASE("an Etc zone is ahead of UTC by the number that its name takes away") {
  CHECK_EQ(zone("Etc/GMT-5").offset_minutes(at("2026-10-05T00:00Z")), 300);
  CHECK_EQ(zone("Etc/GMT+3").offset_minutes(at("2026-10-05T00:00Z")), -180);
  CHECK_EQ(zone("Asia/Kathmandu").offset_minutes(at("2026-10-05T00:00Z")), 345);
}

// Directive 2000/84/EC: summer time begins on the last Sunday of March and ends on the last of October at 01:00 UTC.
TEST_CASE("the hour that is skipped has no instant and the hour that is repeated has two") {
  const Zone berlin = zone("Europe/Berlin");
  CHECK(berlin.instants({{2026, 3, 29}, 2, 30, 0, 0}).empty());
  const auto twice = berlin.instants({{2026, 10, 25}, 2, 30, 0, 0});
  REQUIRE(twice.size() == 2);
  CHECK(twice[0] == at("2026-10-25T02:30+02:00"));
  CHECK(twice[1] == at("2026-10-25T02:30+01:00"));
  const auto once = berlin.instants({{2026, 7, 1}, 12, 0, 0, 0});
  REQUIRE(once.size() == 1);
  CHECK(once[0] == at("2026-07-01T10:00Z"));
  CHECK_EQ(format_date_time(berlin.local(at("2026-10-25T00:59:59Z"))), "2026-10-25T02:59:59+02:00");
  CHECK_EQ(format_date_time(berlin.local(at("2026-10-25T01:00:00Z"))), "2026-10-25T02:00:00+01:00");
}

TEST_CASE("a day begins at its first instant also where midnight is skipped") {
  CHECK(zone("Etc/GMT-5").start_of({2026, 10, 5}) == at("2026-10-05T00:00+05:00"));
  // tzdata: in 2023 Egypt's clocks went from Friday 28 April 00:00 to 01:00.
  CHECK(zone("Africa/Cairo").start_of({2023, 4, 28}) == at("2023-04-28T01:00+03:00"));
}
