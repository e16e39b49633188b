// Times as format 1 takes and writes them (docs/ledger-format.md, "Times").
//
// An Instant counts milliseconds since 1970-01-01T00:00:00Z without leap seconds. A DateTime is an instant together
// with the offset it was written in, because the hashed bytes keep the offset.
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace trayproof {

struct Instant {
  std::int64_t ms = 0;
  auto operator<=>(const Instant&) const = default;
};

inline constexpr std::int64_t second_ms = 1000;
inline constexpr std::int64_t minute_ms = 60 * second_ms;
inline constexpr std::int64_t hour_ms = 60 * minute_ms;
inline constexpr std::int64_t day_ms = 24 * hour_ms;

struct CivilDate {
  int year = 0;
  int month = 0;  // 1 to 12
  int day = 0;    // 1 to 31
  auto operator<=>(const CivilDate&) const = default;
};

struct CivilTime {
  CivilDate date;
  int hour = 0;
  int minute = 0;
  int second = 0;
  int millisecond = 0;
  auto operator<=>(const CivilTime&) const = default;
};

bool is_date(const CivilDate& date);
std::int64_t days_since_epoch(const CivilDate& date);
CivilDate date_of_days(std::int64_t days);
// The instant at which a clock that shows `civil` is `offset_minutes` ahead of UTC.
Instant instant_of(const CivilTime& civil, int offset_minutes);
CivilTime civil_of(Instant instant, int offset_minutes);

struct DateTime {
  Instant instant;
  int offset_minutes = 0;
};

// `YYYY-MM-DDThh:mm[:ss[.f…]]` with `Z` or `±hh:mm`, years 1900 to 2199, at most 3 digits of a second; nothing else.
std::optional<DateTime> parse_date_time(std::string_view text);
// `YYYY-MM-DD`, a day that exists, years 1900 to 2199.
std::optional<CivilDate> parse_date(std::string_view text);

// The spelling that stands in hashed bytes: seconds always, 1 to 3 digits without trailing zeros when not zero, then
// the offset, UTC as `+00:00`.
std::string format_date_time(const DateTime& time);
std::string format_date(const CivilDate& date);
// `YYYY-MM-DDThh:mm:ss.mmmZ`, as `recorded` is always written.
std::string format_recorded(Instant instant);

// How exactly a time is known. The interval is the whole minute, hour or day, in the time's own offset, that contains
// it.
enum class Precision { second, minute, hour, day };
std::optional<Precision> parse_precision(std::string_view text);
std::string_view name_of(Precision precision);
struct Span {
  Instant earliest;
  Instant latest;  // inclusive: the last millisecond that could be meant
};
Span span_of(const DateTime& time, Precision precision);

}  // namespace trayproof
