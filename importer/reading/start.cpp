#include "importer/reading/start.h"

#include <algorithm>

#include "importer/reading/date_order.h"

namespace trayproof::reading {
namespace {

void ask_order(Start& start, const std::vector<CivilDate>& days, const std::vector<DateOrder>& orders) {
  Ask ask{.what = "date-order", .choices = {}, .option = "--date-order"};
  for (std::size_t i = 0; i < days.size(); ++i) {
    json::Value choice = json::Value::object();
    choice.set("value", name_of(orders[i]));
    choice.set("first", format_date(days[i]));
    choice.set("last", format_date(days[i]));
    ask.choices.push_back(std::move(choice));
  }
  start.asks.push_back(std::move(ask));
}

void take(Start& start, const RawStamp& date, const RawStamp& clock, const TimelineChoices& choices) {
  std::vector<CivilDate> days;
  std::vector<DateOrder> orders;
  for (const DateOrder order : {DateOrder::ymd, DateOrder::dmy, DateOrder::mdy}) {
    if (choices.order && *choices.order != order && date.date->digits[0] <= 2) continue;
    const auto day = day_of(*date.date, order);
    if (day && std::find(days.begin(), days.end(), *day) == days.end()) {
      days.push_back(*day);
      orders.push_back(order);
    }
  }
  if (days.empty()) return;
  if (days.size() > 1) ask_order(start, days, orders);
  start.order = orders.front();
  if (clock.offset_minutes) start.offset_minutes = *clock.offset_minutes;
  CivilTime civil = civil_of({std::max<std::int64_t>(clock.clock_ms.value_or(0), 0)}, 0);
  civil.date = days.front();
  start.civil = civil;
}

bool is_of_other_time(std::string_view key) {
  return any_word(key,
                  {"stop", "end", "export", "exported", "printed", "calibration", "calibrated", "until", "created"});
}

bool begins_there(std::string_view key) {
  return any_word(
      key, {"start", "started", "begin", "began", "beginn", "inicio", "début", "debut", "startzeit", "startdatum"});
}

}  // namespace

bool names_day(std::string_view key) {
  return !is_of_other_time(key) && (begins_there(key) || any_word(key, {"date", "datum", "fecha", "day", "tag"}));
}

std::optional<std::int16_t> named_offset(std::string_view time_column, const std::vector<Metadata>& metadata) {
  if (const auto found = offset_in(time_column)) return found;
  for (const Metadata& line : metadata) {
    if (!any_word(line.key, {"zone", "timezone", "tz", "utc", "gmt", "offset"})) continue;
    if (const auto found = offset_in(line.value)) return found;
  }
  return std::nullopt;
}

Start find_start(TimeForm form, const TimelineChoices& choices, const std::vector<Metadata>& metadata) {
  Start start;
  if (choices.start) {
    const auto stamp = parse_stamp(*choices.start);
    if (stamp && stamp->date) take(start, *stamp, *stamp, choices);
    if (!start.civil) start.unread = *choices.start;
    return start;
  }
  // "Start: 2024-05-01 08:00", or date and time on two lines.
  std::optional<RawStamp> date;
  std::optional<RawStamp> clock;
  for (const Metadata& line : metadata) {
    if (is_of_other_time(line.key)) continue;
    const bool begins = begins_there(line.key);
    const bool plain = any_word(line.key, {"date", "time", "datum", "zeit", "uhrzeit", "fecha", "hora"});
    if (!begins && !plain) continue;
    const auto stamp = parse_stamp(line.value);
    if (!stamp) continue;
    if (stamp->date && (!date || begins)) date = stamp;
    if (stamp->clock_ms && (!clock || begins)) clock = stamp;
  }
  if (!date || (!clock && form != TimeForm::clock)) return start;
  take(start, *date, clock.value_or(*date), choices);
  // Rows with a clock of their own need only the day.
  if (start.civil && form == TimeForm::clock && !clock)
    start.civil->hour = start.civil->minute = start.civil->second = 0;
  return start;
}

}  // namespace trayproof::reading
