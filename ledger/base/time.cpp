#include "ledger/base/time.h"

#include "ledger/base/check.h"

namespace trayproof {
namespace {

bool digits(std::string_view text, std::size_t at, std::size_t count, int& value) {
  if (at + count > text.size()) return false;
  value = 0;
  for (std::size_t i = at; i < at + count; ++i) {
    if (text[i] < '0' || text[i] > '9') return false;
    value = value * 10 + (text[i] - '0');
  }
  return true;
}

bool is_leap(int year) { return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0; }

std::int64_t floor_to(std::int64_t value, std::int64_t step) {
  const std::int64_t rest = ((value % step) + step) % step;
  return value - rest;
}

}  // namespace

bool is_date(const CivilDate& date) {
  static constexpr int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  if (date.month < 1 || date.month > 12 || date.day < 1) return false;
  const int length = lengths[date.month - 1] + (date.month == 2 && is_leap(date.year) ? 1 : 0);
  return date.day <= length;
}

// The civil calendar counted from 1 March, so that the leap day is the last of its year.
std::int64_t days_since_epoch(const CivilDate& date) {
  const std::int64_t year = date.month <= 2 ? date.year - 1 : date.year;
  const std::int64_t era = (year >= 0 ? year : year - 399) / 400;
  const std::int64_t year_of_era = year - era * 400;
  const std::int64_t month = (date.month + 9) % 12;
  const std::int64_t day_of_year = (153 * month + 2) / 5 + date.day - 1;
  const std::int64_t day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
  return era * 146097 + day_of_era - 719468;
}

CivilDate date_of_days(std::int64_t days) {
  days += 719468;
  const std::int64_t era = (days >= 0 ? days : days - 146096) / 146097;
  const std::int64_t day_of_era = days - era * 146097;
  const std::int64_t year_of_era =
      (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
  const std::int64_t day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
  const std::int64_t month = (5 * day_of_year + 2) / 153;
  const int real_month = static_cast<int>(month < 10 ? month + 3 : month - 9);
  return {.year = static_cast<int>(year_of_era + era * 400 + (real_month <= 2 ? 1 : 0)),
          .month = real_month,
          .day = static_cast<int>(day_of_year - (153 * month + 2) / 5 + 1)};
}

Instant instant_of(const CivilTime& civil, int offset_minutes) {
  return {days_since_epoch(civil.date) * day_ms + civil.hour * hour_ms + civil.minute * minute_ms +
          civil.second * second_ms + civil.millisecond - offset_minutes * minute_ms};
}

CivilTime civil_of(Instant instant, int offset_minutes) {
  const std::int64_t local = instant.ms + offset_minutes * minute_ms;
  const std::int64_t midnight = floor_to(local, day_ms);
  const auto rest = static_cast<int>(local - midnight);
  return {.date = date_of_days(midnight / day_ms),
          .hour = rest / static_cast<int>(hour_ms),
          .minute = rest / static_cast<int>(minute_ms) % 60,
          .second = rest / static_cast<int>(second_ms) % 60,
          .millisecond = rest % 1000};
}

std::optional<CivilDate> parse_date(std::string_view text) {
  CivilDate date;
  if (text.size() != 10 || !digits(text, 0, 4, date.year) || text[4] != '-' || !digits(text, 5, 2, date.month) ||
      text[7] != '-' || !digits(text, 8, 2, date.day)) {
    return std::nullopt;
  }
  if (date.year < 1900 || date.year > 2199 || !is_date(date)) return std::nullopt;
  return date;
}

std::optional<DateTime> parse_date_time(std::string_view text) {
  if (text.size() < 17 || text[10] != 'T' || text[13] != ':') return std::nullopt;
  const auto date = parse_date(text.substr(0, 10));
  CivilTime civil;
  if (!date || !digits(text, 11, 2, civil.hour) || !digits(text, 14, 2, civil.minute)) return std::nullopt;
  civil.date = *date;
  std::size_t at = 16;
  if (text[at] == ':') {
    if (!digits(text, at + 1, 2, civil.second)) return std::nullopt;
    at += 3;
    if (at < text.size() && text[at] == '.') {
      const std::size_t first = ++at;
      while (at < text.size() && text[at] >= '0' && text[at] <= '9') ++at;
      const std::size_t count = at - first;
      if (count < 1 || count > 3) return std::nullopt;
      CHECK(digits(text, first, count, civil.millisecond));
      for (std::size_t i = count; i < 3; ++i) civil.millisecond *= 10;
    }
  }
  if (civil.hour > 23 || civil.minute > 59 || civil.second > 59) return std::nullopt;
  int offset = 0;
  const std::string_view zone = text.substr(at);
  if (zone != "Z") {
    int hours = 0;
    int minutes = 0;
    if (zone.size() != 6 || (zone[0] != '+' && zone[0] != '-') || !digits(zone, 1, 2, hours) || zone[3] != ':' ||
        !digits(zone, 4, 2, minutes) || hours > 23 || minutes > 59) {
      return std::nullopt;
    }
    offset = (hours * 60 + minutes) * (zone[0] == '-' ? -1 : 1);
  }
  return DateTime{.instant = instant_of(civil, offset), .offset_minutes = offset};
}

namespace {

// Written by hand: every event formats several times, and printf takes ten times as long.
void put(std::string& out, int value, int width) {
  char text[8];
  for (int i = width; i-- > 0; value /= 10) text[i] = static_cast<char>('0' + value % 10);
  out.append(text, static_cast<std::size_t>(width));
}

void put_date(std::string& out, const CivilDate& date) {
  put(out, date.year, 4);
  out += '-';
  put(out, date.month, 2);
  out += '-';
  put(out, date.day, 2);
}

void put_clock(std::string& out, const CivilTime& civil) {
  put_date(out, civil.date);
  out += 'T';
  put(out, civil.hour, 2);
  out += ':';
  put(out, civil.minute, 2);
  out += ':';
  put(out, civil.second, 2);
}

}  // namespace

std::string format_date(const CivilDate& date) {
  std::string text;
  put_date(text, date);
  return text;
}

std::string format_date_time(const DateTime& time) {
  const CivilTime civil = civil_of(time.instant, time.offset_minutes);
  std::string text;
  text.reserve(32);
  put_clock(text, civil);
  if (civil.millisecond != 0) {
    text += '.';
    put(text, civil.millisecond, 3);
    while (text.back() == '0') text.pop_back();
  }
  const int offset = time.offset_minutes < 0 ? -time.offset_minutes : time.offset_minutes;
  text += time.offset_minutes < 0 ? '-' : '+';
  put(text, offset / 60, 2);
  text += ':';
  put(text, offset % 60, 2);
  return text;
}

std::string format_recorded(Instant instant) {
  const CivilTime civil = civil_of(instant, 0);
  std::string text;
  text.reserve(24);
  put_clock(text, civil);
  text += '.';
  put(text, civil.millisecond, 3);
  return text + 'Z';
}

std::optional<Precision> parse_precision(std::string_view text) {
  if (text == "second") return Precision::second;
  if (text == "minute") return Precision::minute;
  if (text == "hour") return Precision::hour;
  if (text == "day") return Precision::day;
  return std::nullopt;
}

std::string_view name_of(Precision precision) {
  switch (precision) {
    case Precision::second: return "second";
    case Precision::minute: return "minute";
    case Precision::hour: return "hour";
    case Precision::day: return "day";
  }
  CHECK(false);
  return "second";
}

Span span_of(const DateTime& time, Precision precision) {
  std::int64_t step = 0;
  switch (precision) {
    case Precision::second: return {time.instant, time.instant};
    case Precision::minute: step = minute_ms; break;
    case Precision::hour: step = hour_ms; break;
    case Precision::day: step = day_ms; break;
  }
  const std::int64_t offset = time.offset_minutes * minute_ms;
  const std::int64_t begin = floor_to(time.instant.ms + offset, step) - offset;
  return {{begin}, {begin + step - 1}};
}

}  // namespace trayproof
