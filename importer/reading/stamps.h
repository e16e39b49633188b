// Stage 7a: one time as a logger writes it, before it is known in which order day and month stand.
// docs/import-reading.md is the authority.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>

#include "ledger/base/time.h"

namespace trayproof::reading {

enum class DateOrder { dmy, mdy, ymd };
std::string_view name_of(DateOrder order);
std::optional<DateOrder> date_order_named(std::string_view name);

// The three numbers of a date in the order of the file.
struct RawDate {
  std::array<std::int16_t, 3> parts{};
  std::array<std::uint8_t, 3> digits{};  // how many digits each was written with
  char separator = 0;
  bool named_month = false;  // "01-May-2024": parts are then year, month, day already
  bool operator==(const RawDate&) const = default;
};

struct RawStamp {
  std::optional<RawDate> date;
  std::optional<std::int32_t> clock_ms;        // since midnight
  bool seconds = false;                        // the clock shows seconds
  std::optional<std::int16_t> offset_minutes;  // "Z", "+05:30"
};

// A date, a time of day, or both; nothing else in the text.
std::optional<RawStamp> parse_stamp(std::string_view text);
// "225000", "2250", "22.50.00": times of day that only a column's name can tell from a number or a date.
std::optional<RawStamp> bare_clock(std::string_view text);
// "AM", "p.m." and a few half-day words of other languages: false before noon, true after.
std::optional<bool> half_day(std::string_view text);
// Moves a twelve-hour clock into its half of the day; nothing when it shows an hour that no such clock has.
std::optional<std::int32_t> in_half(std::int32_t clock_ms, bool after_noon);
// "UTC", "GMT+03:00", "UTC -5" anywhere in a text: minutes ahead of UTC.
std::optional<std::int16_t> offset_in(std::string_view text);
// "1:02:03", "75:10" or "90:00:00.5" as a length of time; hours may pass 23.
std::optional<double> parse_elapsed(std::string_view text);

// The day that the numbers name in that order (a year of four digits in front is one in any order); nothing when there
// is no such day. Two-digit years are 1980 to 2079.
std::optional<CivilDate> day_of(const RawDate& date, DateOrder order);

}  // namespace trayproof::reading
