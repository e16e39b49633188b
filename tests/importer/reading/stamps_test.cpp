#include "importer/reading/stamps.h"

#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::reading;

namespace {

std::string read(std::string_view text, DateOrder order) {
  const auto stamp = parse_stamp(text);
  if (!stamp) return "none";
  std::string out;
  if (stamp->date) {
    const auto day = day_of(*stamp->date, order);
    out = day ? format_date(*day) : "no day";
  }
  if (stamp->clock_ms) out += " " + std::to_string(*stamp->clock_ms / 1000);
  if (stamp->offset_minutes) out += " " + std::to_string(*stamp->offset_minutes);
  return out;
}

}  // namespace

TEST_SUITE("importer/reading/stamps.h") {
  TEST_CASE("shapes of date and time") {
    CHECK(read("2024-05-01T10:00:00", DateOrder::ymd) == "2024-05-01 36000");
    CHECK(read("2024-05-01 10:00:00.250", DateOrder::ymd) == "2024-05-01 36000");
    CHECK(read("2024-05-01T10:00:00Z", DateOrder::ymd) == "2024-05-01 36000 0");
    CHECK(read("2024-05-01T10:00:00+05:30", DateOrder::ymd) == "2024-05-01 36000 330");
    CHECK(read("2024-05-01T10:00:00-0300", DateOrder::ymd) == "2024-05-01 36000 -180");
    CHECK(read("1.5.2024 8:05", DateOrder::dmy) == "2024-05-01 29100");
    CHECK(read("05/01/24 10:00", DateOrder::mdy) == "2024-05-01 36000");
    CHECK(read("24-05-01 10:00", DateOrder::ymd) == "2024-05-01 36000");
    CHECK(read("20240501 100000", DateOrder::ymd) == "2024-05-01 36000");
    CHECK(read("01-May-2024 10:00", DateOrder::mdy) == "2024-05-01 36000");
    CHECK(read("May 1, 2024 10:00 AM", DateOrder::dmy) == "2024-05-01 36000");
    CHECK(read("Wed 2024-05-01 10:00", DateOrder::ymd) == "2024-05-01 36000");
    CHECK(read("2024/05/01, 10:00:00", DateOrder::ymd) == "2024-05-01 36000");
    CHECK(read("10:00:00", DateOrder::ymd) == " 36000");
    CHECK(read("2024-05-01", DateOrder::ymd) == "2024-05-01");
  }

  TEST_CASE("noon and midnight on a twelve-hour clock") {
    CHECK(read("12:00 AM", DateOrder::ymd) == " 0");
    CHECK(read("12:30 PM", DateOrder::ymd) == " 45000");
    CHECK(read("11:59:59 p.m.", DateOrder::ymd) == " 86399");
    CHECK(read("1:05 PM", DateOrder::ymd) == " 47100");
    CHECK(read("下午 01:05", DateOrder::ymd) == " 47100");
    CHECK(read("13:05 AM", DateOrder::ymd) == "none");
  }

  TEST_CASE("what is no time is none") {
    for (const std::string_view text :
         {"", "abc", "24:00", "10:60", "121.3", "1234", "12", "2024-05", "10:00:00 x", "2024-05-01x", "-5:00"}) {
      CHECK_MESSAGE(read(text, DateOrder::ymd) == "none", text);
    }
    CHECK(read("2024-02-30", DateOrder::ymd) == "no day");
    CHECK(read("31/04/2024", DateOrder::dmy) == "no day");
  }

  TEST_CASE("lengths of time may pass a day") {
    CHECK(parse_elapsed("0:01:30") == 90.0);
    CHECK(parse_elapsed("30:00:00.5") == 108000.5);
    CHECK(parse_elapsed("75:10") == 4510.0);
    CHECK_FALSE(parse_elapsed("10"));
    CHECK_FALSE(parse_elapsed("1:75"));
  }
}
