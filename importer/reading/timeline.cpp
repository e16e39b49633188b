#include "importer/reading/timeline.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "ledger/words/words.h"

namespace trayproof::reading {
namespace {

constexpr double longest_elapsed_s = 1e9;  // thirty years
constexpr double no_time = std::numeric_limits<double>::quiet_NaN();

// Nothing for a number that lies outside 1900 to 2199, the years that the ledger knows.
std::optional<Instant> instant_within(double ms) {
  constexpr double first_ms = -2208988800000.0;
  constexpr double end_ms = 7258118400000.0;
  if (!(ms >= first_ms && ms < end_ms)) return std::nullopt;
  return Instant{std::llround(ms)};
}

class Resolver {
 public:
  Resolver(const std::vector<RowTime>& rows, const TimeColumns& columns, const std::vector<Metadata>& metadata,
           const TimelineChoices& choices)
      : rows_(rows), columns_(columns), metadata_(metadata), choices_(choices), clockwork_(choices.zone) {}

  Timeline run(bool seconds) {
    timeline_.seconds = seconds;
    timeline_.at.assign(rows_.size(), std::nullopt);
    timeline_.elapsed_s.assign(rows_.size(), no_time);
    if (!choices_.zone_said) {
      timeline_.offset_minutes = named_offset();
      clockwork_.file_offset = timeline_.offset_minutes;
    }
    switch (columns_.form) {
      case TimeForm::none:
        break;
      case TimeForm::stamp:
      case TimeForm::apart:
        dated();
        break;
      case TimeForm::clock:
        clocks();
        break;
      case TimeForm::elapsed:
      case TimeForm::elapsed_clock:
        elapsed();
        break;
      case TimeForm::unix_seconds:
        numbered(1000);
        break;
      case TimeForm::unix_milliseconds:
        numbered(1);
        break;
      case TimeForm::serial:
        serial();
        break;
    }
    if (clockwork_.repeated) timeline_.notes.push_back(say("importer.note.repeated-hour"));
    if (clockwork_.skipped) timeline_.notes.push_back(say("importer.note.skipped-hour"));
    finish();
    return std::move(timeline_);
  }

 private:
  // "Date Time, GMT+03:00" in the header, "Time zone: UTC+3" above it.
  std::optional<std::int16_t> named_offset() const {
    if (const auto found = offset_in(columns_.name)) return found;
    for (const Metadata& line : metadata_) {
      if (!any_word(line.key, {"zone", "timezone", "tz", "utc", "gmt", "offset"})) continue;
      if (const auto found = offset_in(line.value)) return found;
    }
    return std::nullopt;
  }

  void dated() {
    if (std::none_of(rows_.begin(), rows_.end(), [](const RowTime& row) { return row.has_date; })) return;
    if (choices_.order) return place_in(all_year_first(rows_) ? DateOrder::ymd : *choices_.order);
    const OrdersLeft left = orders_left(rows_, metadata_);
    if (left.orders.size() > 1) return ask_order(left.orders);
    if (!left.decided_by.empty()) {
      timeline_.notes.push_back(say(left.decided_by, {{"order", name_of(left.orders.front())}}));
    }
    place_in(left.orders.front());
  }

  void place_in(DateOrder order) {
    timeline_.order = order;
    place(order);
    settle_repeated_start();
    timeline_.dated = true;
  }

  // A file that begins within a repeated hour: what follows the hour tells which of the two it was.
  void settle_repeated_start() {
    std::size_t end = 0;
    while (end < open_ms_.size() && open_ms_[end] > 0) ++end;
    if (end > 0 && end == open_ms_.size()) return ask_zone();
    if (end == 0 || end >= open_ms_.size() || !timeline_.at[end] || !timeline_.at[end - 1]) return;
    const std::int64_t step = timeline_.at[end]->ms - timeline_.at[end - 1]->ms;
    if (step < open_ms_[end - 1]) return;
    for (std::size_t i = 0; i < end; ++i) timeline_.at[i]->ms += open_ms_[i];
  }

  // All rows lie in one repeated hour and none passes another: nothing in the file tells which time it was.
  void ask_zone() {
    const std::int64_t first_ms = timeline_.at.front()->ms;
    Ask ask{.what = "zone", .choices = {}, .option = "--zone"};
    for (const std::int64_t later_ms : {std::int64_t{0}, open_ms_.front()}) {
      // Before and after the change; the zone's own offset at the first of the two is the earlier one.
      const std::int64_t offset_ms = choices_.zone.offset_minutes({first_ms}) * minute_ms - later_ms;
      if (offset_ms % hour_ms != 0) return;
      const std::int64_t hours = offset_ms / hour_ms;
      json::Value choice = json::Value::object();
      // These names of the zone database count the other way round (POSIX).
      choice.set("value", "Etc/GMT" + std::string(hours > 0 ? "-" : "+") + std::to_string(std::abs(hours)));
      choice.set("first", format_date_time({{first_ms + later_ms}, static_cast<int>(offset_ms / minute_ms)}));
      choice.set("last",
                 format_date_time({{timeline_.at.back()->ms + later_ms}, static_cast<int>(offset_ms / minute_ms)}));
      ask.choices.push_back(std::move(choice));
    }
    timeline_.asks.push_back(std::move(ask));
  }

  void ask_order(const std::vector<DateOrder>& orders) {
    Ask ask{.what = "date-order", .choices = {}, .option = "--date-order"};
    for (const DateOrder order : orders) {
      std::optional<Instant> first;
      std::optional<Instant> last;
      Clockwork clockwork(choices_.zone);
      clockwork.file_offset = timeline_.offset_minutes;
      const auto at = [&](const RowTime& row) -> std::optional<Instant> {
        const auto day = row.has_date ? day_of(row.date, order) : std::nullopt;
        if (!day) return std::nullopt;
        return clockwork.at(*day, std::max(row.clock_ms, 0), row.offset_minutes);
      };
      for (std::size_t i = 0; i < rows_.size() && !first; ++i) first = at(rows_[i]);
      for (std::size_t i = rows_.size(); i-- > 0 && !last;) last = at(rows_[i]);
      json::Value choice = json::Value::object();
      choice.set("value", name_of(order));
      choice.set("first", first ? json::Value(format_date_time(choices_.zone.local(*first))) : json::Value());
      choice.set("last", last ? json::Value(format_date_time(choices_.zone.local(*last))) : json::Value());
      ask.choices.push_back(std::move(choice));
    }
    timeline_.asks.push_back(std::move(ask));
    place(orders.front());  // so that steps and counts can be told; nothing is taken
    timeline_.dated = false;
  }

  void place(DateOrder order) {
    open_ms_.assign(rows_.size(), 0);
    std::optional<RawDate> known;
    std::optional<CivilDate> day;
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      const RowTime& row = rows_[i];
      if (!row.has_date) continue;
      if (!known || !(*known == row.date)) {
        known = row.date;
        day = day_of(row.date, order);
      }
      if (!day) continue;
      timeline_.at[i] = clockwork_.at(*day, std::max(row.clock_ms, 0), row.offset_minutes);
      open_ms_[i] = clockwork_.other_ms();
    }
  }

  // Time of day without a date: it passes midnight where the clock falls by more than half a day.
  void clocks() {
    const auto start = start_civil();
    CivilDate day = start ? start->date : CivilDate{1970, 1, 1};
    std::int64_t days = days_since_epoch(day);
    std::optional<std::int32_t> before;
    if (start) before = ((start->hour * 60 + start->minute) * 60 + start->second) * 1000;
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      const std::int32_t clock = rows_[i].clock_ms;
      if (clock < 0) continue;
      constexpr std::int32_t half_day_ms = 12 * 3600 * 1000;
      if (before && clock < *before - half_day_ms) ++days;
      before = clock;
      if (start) {
        timeline_.at[i] = clockwork_.at(date_of_days(days), clock, rows_[i].offset_minutes);
      } else {
        timeline_.elapsed_s[i] = (static_cast<double>(days) * static_cast<double>(day_ms) + clock) / 1000;
      }
    }
    timeline_.dated = start.has_value();
  }

  void elapsed() {
    double scale = 1;
    if (columns_.form == TimeForm::elapsed) {
      if (!columns_.unit) {
        ask_unit();
      } else {
        switch (*columns_.unit) {
          case Unit::millisecond:
            scale = 0.001;
            break;
          case Unit::minute:
            scale = 60;
            break;
          case Unit::hour:
            scale = 3600;
            break;
          case Unit::day:
            scale = 86400;
            break;
          default:
            break;
        }
      }
    }
    const auto start = start_instant();
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      if (std::isnan(rows_[i].number)) continue;
      const double seconds = rows_[i].number * scale;
      if (std::abs(seconds) > longest_elapsed_s) continue;
      timeline_.elapsed_s[i] = seconds;
      if (!start) continue;
      timeline_.at[i] = instant_within(static_cast<double>(start->ms) + seconds * 1000);
      if (!timeline_.at[i]) timeline_.elapsed_s[i] = no_time;
    }
    timeline_.dated = start.has_value();
  }

  void ask_unit() {
    double last = 0;
    for (const RowTime& row : rows_) {
      if (!std::isnan(row.number)) last = row.number;
    }
    Ask ask{.what = "unit", .choices = {}, .option = "--unit"};
    for (const auto& [unit, seconds] : {std::pair{"s", 1.0}, std::pair{"min", 60.0}, std::pair{"h", 3600.0}}) {
      json::Value choice = json::Value::object();
      choice.set("value", columns_.name + "=" + unit);
      choice.set("channel", columns_.name);
      choice.set("minutes", std::round(last * seconds / 60 * 1000) / 1000);
      ask.choices.push_back(std::move(choice));
    }
    timeline_.asks.push_back(std::move(ask));
  }

  void numbered(double scale) {
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      if (!std::isnan(rows_[i].number)) timeline_.at[i] = instant_within(rows_[i].number * scale);
    }
    timeline_.dated = true;
  }

  // A spreadsheet's day number is wall-clock time; a millisecond is as fine as its fraction is good for.
  void serial() {
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      if (!(rows_[i].number >= 1 && rows_[i].number < 109571)) continue;  // 1900 to 2199
      const double days = std::floor(rows_[i].number);
      const auto clock =
          static_cast<std::int32_t>(std::min(std::round((rows_[i].number - days) * 86400.0) * 1000, 86399999.0));
      timeline_.at[i] = clockwork_.at(date_of_days(static_cast<std::int64_t>(days) - 25569), clock, no_offset);
    }
    timeline_.dated = true;
  }

  std::optional<Instant> start_instant() {
    const auto civil = start_civil();
    if (!civil) return std::nullopt;
    if (!start_offset_ && timeline_.offset_minutes && !choices_.start) start_offset_ = *timeline_.offset_minutes;
    if (start_offset_) return instant_of(*civil, *start_offset_);
    const auto found = choices_.zone.instants(*civil);
    if (found.empty()) return instant_of(*civil, choices_.zone.offset_minutes(instant_of(*civil, 0)));
    return found.front();
  }

  // The start that was said, else the preamble's: "Start: 2024-05-01 08:00", or date and time on two lines.
  std::optional<CivilTime> start_civil() {
    if (choices_.start) {
      const auto stamp = parse_stamp(*choices_.start);
      if (stamp && stamp->date) {
        if (auto found = civil_from(*stamp, *stamp)) return found;
      }
      timeline_.start_unread = *choices_.start;
      return std::nullopt;
    }
    std::optional<RawStamp> date;
    std::optional<RawStamp> clock;
    for (const Metadata& line : metadata_) {
      if (any_word(line.key,
                   {"stop", "end", "export", "exported", "printed", "calibration", "calibrated", "until", "created"}))
        continue;
      const bool start = any_word(line.key, {"start", "started", "begin", "began", "beginn", "inicio", "début", "debut",
                                             "startzeit", "startdatum"});
      const bool plain = any_word(line.key, {"date", "time", "datum", "zeit", "uhrzeit", "fecha", "hora"});
      if (!start && !plain) continue;
      const auto stamp = parse_stamp(line.value);
      if (!stamp) continue;
      if (stamp->date && (!date || start)) date = stamp;
      if (stamp->clock_ms && (!clock || start)) clock = stamp;
    }
    if (!date || (!clock && columns_.form != TimeForm::clock)) return std::nullopt;
    auto found = civil_from(*date, clock.value_or(*date));
    // Rows with a clock of their own need only the day.
    if (found && columns_.form == TimeForm::clock && !clock) found->hour = found->minute = found->second = 0;
    return found;
  }

  std::optional<CivilTime> civil_from(const RawStamp& date, const RawStamp& clock) {
    std::vector<CivilDate> days;
    std::vector<DateOrder> orders;
    for (const DateOrder order : {DateOrder::ymd, DateOrder::dmy, DateOrder::mdy}) {
      if (choices_.order && *choices_.order != order && date.date->digits[0] <= 2) continue;
      const auto day = day_of(*date.date, order);
      if (day && std::find(days.begin(), days.end(), *day) == days.end()) {
        days.push_back(*day);
        orders.push_back(order);
      }
    }
    if (days.empty()) return std::nullopt;
    if (days.size() > 1) {
      if (!asked_start_) {
        asked_start_ = true;
        Ask ask{.what = "date-order", .choices = {}, .option = "--date-order"};
        for (std::size_t i = 0; i < days.size(); ++i) {
          json::Value choice = json::Value::object();
          choice.set("value", name_of(orders[i]));
          choice.set("first", format_date(days[i]));
          choice.set("last", format_date(days[i]));
          ask.choices.push_back(std::move(choice));
        }
        timeline_.asks.push_back(std::move(ask));
      }
    }
    timeline_.order = orders.front();
    if (clock.offset_minutes) start_offset_ = *clock.offset_minutes;
    CivilTime civil = civil_of({std::max<std::int64_t>(clock.clock_ms.value_or(0), 0)}, 0);
    civil.date = days.front();
    return civil;
  }

  void finish() {
    std::optional<std::int64_t> first;
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      if (!timeline_.at[i]) continue;
      if (!first) first = timeline_.at[i]->ms;
      timeline_.elapsed_s[i] = static_cast<double>(timeline_.at[i]->ms - *first) / 1000;
    }
    if (columns_.form != TimeForm::elapsed && columns_.form != TimeForm::elapsed_clock &&
        columns_.form != TimeForm::clock)
      return;
    if (timeline_.dated) return;
    std::optional<double> zero;
    for (double& one : timeline_.elapsed_s) {
      if (std::isnan(one)) continue;
      if (!zero) zero = one;
      one -= *zero;
    }
  }

  const std::vector<RowTime>& rows_;
  const TimeColumns& columns_;
  const std::vector<Metadata>& metadata_;
  const TimelineChoices& choices_;
  Clockwork clockwork_;
  Timeline timeline_;
  std::optional<int> start_offset_;
  std::vector<std::int64_t> open_ms_;  // how much later a row could be, in a repeated hour
  bool asked_start_ = false;
};

}  // namespace

Timeline resolve(const std::vector<RowTime>& rows, const TimeColumns& columns, bool seconds,
                 const std::vector<Metadata>& metadata, const TimelineChoices& choices) {
  return Resolver(rows, columns, metadata, choices).run(seconds);
}

}  // namespace trayproof::reading
