#include "importer/reading/timeline.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

#include "ledger/words/words.h"

namespace trayproof::reading {
namespace {

constexpr double longest_elapsed_s = 1e9;  // thirty years

// Nothing for a number that lies outside 1900 to 2199, the years that the ledger knows.
std::optional<Instant> instant_within(double ms) {
  constexpr double first_ms = -2208988800000.0;
  constexpr double end_ms = 7258118400000.0;
  if (!(ms >= first_ms && ms < end_ms)) return std::nullopt;
  return Instant{std::llround(ms)};
}

bool has_stamps(TimeForm form) { return form == TimeForm::stamp || form == TimeForm::apart; }
bool has_start(TimeForm form) {
  return form == TimeForm::clock || form == TimeForm::elapsed || form == TimeForm::elapsed_clock;
}

}  // namespace

Timekeeper::Timekeeper(const TimeColumns& columns, const TimelineChoices& choices, const TimeAssumed& assumed,
                       const std::vector<Metadata>& metadata)
    : columns_(columns), choices_(choices), assumed_(assumed), clockwork_(choices.zone) {
  if (choices.order) assumed_.order = choices.order;
  if (!choices.zone_said) offset_minutes_ = named_offset(columns.name, metadata);
  clockwork_.file_offset = offset_minutes_;
  if (has_start(columns.form)) start_ = find_start(columns.form, choices, metadata);
  if (columns.form == TimeForm::elapsed && columns.unit) scale_ = seconds_in(*columns.unit);
  if (columns.form == TimeForm::elapsed_clock && columns.unit) scale_ = seconds_in(*columns.unit);
  if (columns.form == TimeForm::elapsed && columns.step_s) scale_ = *columns.step_s;
  if (columns.form == TimeForm::elapsed || columns.form == TimeForm::elapsed_clock) elapsed_zero_ = start_instant();
  if (columns.form == TimeForm::clock && start_.civil) {
    clock_days_ = days_since_epoch(start_.civil->date);
    clock_before_ = ((start_.civil->hour * 60 + start_.civil->minute) * 60 + start_.civil->second) * 1000;
  }
}

std::optional<Placed> Timekeeper::place(const RowTime& row) {
  switch (columns_.form) {
    case TimeForm::none:
      return std::nullopt;
    case TimeForm::stamp:
    case TimeForm::apart:
      return dated(row);
    case TimeForm::clock:
      return clock(row);
    case TimeForm::elapsed:
    case TimeForm::elapsed_clock:
      return elapsed(row);
    case TimeForm::serial:
      return serial(row);
    case TimeForm::unix_seconds:
    case TimeForm::unix_milliseconds: {
      const auto at = instant_within(row.number * (columns_.form == TimeForm::unix_seconds ? 1000 : 1));
      if (!at) return std::nullopt;
      return placed_at(*at);
    }
  }
  return std::nullopt;
}

Placed Timekeeper::placed_at(Instant at) {
  if (!first_) first_ = at;
  return {at, static_cast<double>(at.ms - first_->ms) / 1000};
}

Placed Timekeeper::placed_after(double elapsed_s) {
  if (!zero_s_) zero_s_ = elapsed_s;
  return {std::nullopt, elapsed_s - *zero_s_};
}

// Under the order that is assumed; without one under the first that makes a day of the first row.
std::optional<std::int64_t> Timekeeper::day_of_row(const RowTime& row) {
  if (date_ && *date_ == row.date) return day_;
  date_ = row.date;
  const ThreeDays days = three_days(row.date);
  for (std::size_t i = 0; !assumed_.order && i < date_orders.size(); ++i) {
    const bool any_order = row.date.named_month || row.date.digits[0] > 2;
    if (days.days[i]) assumed_.order = any_order ? DateOrder::ymd : date_orders[i];
  }
  day_ = assumed_.order ? days.days[static_cast<std::size_t>(*assumed_.order)] : std::nullopt;
  return day_;
}

std::optional<Placed> Timekeeper::dated(const RowTime& row) {
  if (!row.has_date) return std::nullopt;
  trials_.row(row);
  const auto day = day_of_row(row);
  if (!day) return std::nullopt;
  const Instant at = clockwork_.at(*day, clock_of_day(row), row.offset_minutes);
  return placed_at(leading_ ? Instant{in_first_hour(at)} : at);
}

// The row's clock in twenty-four hours. Where a clock goes from 11 to 12 and then falls from 12:59 to 1:00, all on one
// date, it shows twelve hours without AM and PM: that was noon, and what follows on that date is afternoon.
std::int32_t Timekeeper::clock_of_day(const RowTime& row) {
  constexpr std::int32_t hour = static_cast<std::int32_t>(hour_ms);
  constexpr std::int32_t step_most = 10 * static_cast<std::int32_t>(minute_ms);
  const std::int32_t shown = std::max(row.clock_ms, 0);
  if (row.clock_ms < 0 || all_hours_) return shown;
  if (shown < hour || shown >= 13 * hour) {
    all_hours_ = true;
    half_clock_ = false;
    return shown;
  }
  const bool same_date = clock_date_ && *clock_date_ == row.date;
  const bool twelve = shown >= 12 * hour;
  if (!same_date) {
    noon_seen_ = afternoon_ = false;
  } else if (twelve && clock_shown_ms_ < 12 * hour) {
    noon_seen_ = true;
    afternoon_ = true;
  } else if (noon_seen_ && clock_shown_ms_ >= 12 * hour && shown < 2 * hour &&
             shown + 12 * hour - clock_shown_ms_ <= step_most) {
    half_clock_ = half_clock_told_ = true;
  }
  clock_date_ = row.date;
  clock_shown_ms_ = shown;
  if (!half_clock_) return shown;
  if (twelve) return afternoon_ ? shown : shown - 12 * hour;
  return afternoon_ ? shown + 12 * hour : shown;
}

// A file that begins within a repeated hour: what follows the hour tells which of the two it was.
std::int64_t Timekeeper::in_first_hour(Instant at) {
  const std::int64_t later_ms = clockwork_.other_ms();
  if (later_ms == 0) {
    leading_ = false;
    second_found_ = leading_first_ && at.ms - leading_last_.ms >= leading_later_ms_;
    return at.ms;
  }
  if (!leading_first_) {
    leading_first_ = at;
    leading_first_later_ms_ = later_ms;
  }
  leading_last_ = at;
  leading_later_ms_ = later_ms;
  return assumed_.begins_in_second ? at.ms + later_ms : at.ms;
}

// Time of day without a date: it passes midnight where the clock falls by more than half a day.
std::optional<Placed> Timekeeper::clock(const RowTime& row) {
  if (row.clock_ms < 0) return std::nullopt;
  constexpr std::int32_t half_day_ms = 12 * 3600 * 1000;
  const auto said = row.has_date && start_.civil && !choices_.start
                        ? day_of(row.date, start_.order.value_or(DateOrder::ymd))
                        : std::nullopt;
  if (said)
    clock_days_ = days_since_epoch(*said);
  else if (clock_before_ && row.clock_ms < *clock_before_ - half_day_ms)
    ++clock_days_;
  clock_before_ = row.clock_ms;
  if (start_.civil) return placed_at(clockwork_.at(clock_days_, row.clock_ms, row.offset_minutes));
  return placed_after((static_cast<double>(clock_days_) * static_cast<double>(day_ms) + row.clock_ms) / 1000);
}

std::optional<Placed> Timekeeper::elapsed(const RowTime& row) {
  if (std::isnan(row.number)) return std::nullopt;
  last_number_ = row.number;
  if (columns_.form == TimeForm::elapsed_clock) see_parts(row);
  // Where some rows have three parts, those of two are minutes and seconds.
  const double seconds = row.number * (columns_.form == TimeForm::elapsed || row.two_parts ? scale_ : 1);
  if (std::abs(seconds) > longest_elapsed_s) return std::nullopt;
  if (!elapsed_zero_) return placed_after(seconds);
  const auto at = instant_within(static_cast<double>(elapsed_zero_->ms) + seconds * 1000);
  if (!at) return std::nullopt;
  return placed_at(*at);
}

// A spreadsheet's day number is wall-clock time; a second is as fine as its fraction is good for.
std::optional<Placed> Timekeeper::serial(const RowTime& row) {
  if (!(row.number >= 1 && row.number < 109571)) return std::nullopt;  // 1900 to 2199
  const double days = std::floor(row.number);
  const auto clock_ms =
      static_cast<std::int32_t>(std::min(std::round((row.number - days) * 86400.0) * 1000, 86399999.0));
  constexpr std::int64_t epoch = 25569;  // 1970-01-01 as a spreadsheet counts
  return placed_at(clockwork_.at(static_cast<std::int64_t>(days) - epoch, clock_ms, no_offset));
}

std::optional<Instant> Timekeeper::start_instant() const {
  if (!start_.civil) return std::nullopt;
  const auto offset = start_.offset_minutes
                          ? start_.offset_minutes
                          : (offset_minutes_ && !choices_.start ? std::optional<int>(*offset_minutes_) : std::nullopt);
  if (offset) return instant_of(*start_.civil, *offset);
  const auto found = choices_.zone.instants(*start_.civil);
  if (found.empty()) return instant_of(*start_.civil, choices_.zone.offset_minutes(instant_of(*start_.civil, 0)));
  return found.front();
}

Timeline Timekeeper::finish(const std::vector<Metadata>& metadata) {
  Timeline out;
  out.decided = assumed_;
  if (!choices_.zone_said) out.offset_minutes = named_offset(columns_.name, metadata);
  if (out.offset_minutes != offset_minutes_) out.borne_out = false;
  if (has_start(columns_.form)) {
    Start start = find_start(columns_.form, choices_, metadata);
    if (!start.same_as(start_)) out.borne_out = false;
    out.dated = start.civil.has_value();
    out.order = start.order;
    out.start_unread = start.unread;
    out.asks = std::move(start.asks);
    if (columns_.form == TimeForm::elapsed && !columns_.unit && !columns_.step_s)
      out.asks.insert(out.asks.begin(), unit_ask());
    if (is_parts_open()) out.asks.insert(out.asks.begin(), parts_ask());
  } else if (has_stamps(columns_.form)) {
    if (trials_.any_date()) decide_order(out, metadata);
  } else {
    out.dated = columns_.form != TimeForm::none;
  }
  if (clockwork_.repeated) out.notes.push_back(say("importer.note.repeated-hour"));
  if (half_clock_told_) out.notes.push_back(say("importer.note.half-clock"));
  if (clockwork_.skipped) out.notes.push_back(say("importer.note.skipped-hour"));
  return out;
}

void Timekeeper::decide_order(Timeline& out, const std::vector<Metadata>& metadata) const {
  out.dated = true;
  if (choices_.order) {
    out.order = trials_.all_year_first() ? DateOrder::ymd : *choices_.order;
  } else {
    const OrdersLeft left = trials_.left(metadata);
    out.decided.order = left.orders.front();
    if (left.orders.size() > 1) {
      out.asks.push_back(order_ask(left.orders));
      out.dated = false;
    } else {
      out.order = left.orders.front();
    }
    if (!left.decided_by.empty() && left.orders.size() == 1) {
      out.notes.push_back(say(left.decided_by, {{"order", name_of(left.orders.front())}}));
    }
  }
  if (out.decided.order != assumed_.order && !trials_.all_year_first()) out.borne_out = false;
  out.decided.begins_in_second = second_found_;
  if (second_found_ != assumed_.begins_in_second) out.borne_out = false;
  if (!out.dated) return;
  if (auto ask = zone_ask()) out.asks.push_back(std::move(*ask));
}

Ask Timekeeper::order_ask(const std::vector<DateOrder>& orders) const {
  Ask ask{.what = "date-order", .choices = {}, .option = "--date-order"};
  for (const DateOrder order : orders) {
    Clockwork clockwork(choices_.zone);
    clockwork.file_offset = offset_minutes_;
    const auto told = [&](const std::optional<RowTime>& row) -> json::Value {
      const auto day = row ? day_of(row->date, order) : std::nullopt;
      if (!day) return {};
      const Instant at = clockwork.at(days_since_epoch(*day), std::max(row->clock_ms, 0), row->offset_minutes);
      return format_date_time(choices_.zone.local(at));
    };
    json::Value choice = json::Value::object();
    choice.set("value", name_of(order));
    choice.set("first", told(trials_.first(order)));
    choice.set("last", told(trials_.last(order)));
    ask.choices.push_back(std::move(choice));
  }
  return ask;
}

// All rows lie in one repeated hour and none passes another: nothing in the file tells which time it was.
std::optional<Ask> Timekeeper::zone_ask() const {
  if (!leading_ || !leading_first_) return std::nullopt;
  Ask ask{.what = "zone", .choices = {}, .option = "--zone"};
  for (const std::int64_t later_ms : {std::int64_t{0}, leading_first_later_ms_}) {
    // Before and after the change; the zone's own offset at the first of the two is the earlier one.
    const std::int64_t offset_ms = choices_.zone.offset_minutes(*leading_first_) * minute_ms - later_ms;
    if (offset_ms % hour_ms != 0) return std::nullopt;
    const std::int64_t hours = offset_ms / hour_ms;
    json::Value choice = json::Value::object();
    // These names of the zone database count the other way round (POSIX).
    choice.set("value", "Etc/GMT" + std::string(hours > 0 ? "-" : "+") + std::to_string(std::abs(hours)));
    const auto told = [&](Instant at) {
      return format_date_time({{at.ms + later_ms}, static_cast<int>(offset_ms / minute_ms)});
    };
    choice.set("first", told(*leading_first_));
    choice.set("last", told(leading_last_));
    ask.choices.push_back(std::move(choice));
  }
  return ask;
}

void Timekeeper::see_parts(const RowTime& row) {
  if (!row.two_parts) all_two_parts_ = false;
  if (number_before_ && row.number > *number_before_) {
    const double step = row.number - *number_before_;
    least_step_ = least_step_ ? std::min(*least_step_, step) : step;
  }
  number_before_ = row.number;
  most_number_ = std::max(most_number_, row.number);
}

// "0:33" may be hours and minutes or minutes and seconds. Nobody who watches a cycle takes a reading in ten minutes,
// and no export of one is longer than a day: then they are minutes and seconds.
bool Timekeeper::is_parts_open() const {
  constexpr double longest_step_min = 5;
  constexpr double longest_min = 24 * 60;
  return columns_.form == TimeForm::elapsed_clock && !columns_.unit && !choices_.as_kept && all_two_parts_ &&
         least_step_ && *least_step_ <= longest_step_min && most_number_ <= longest_min;
}

Ask Timekeeper::parts_ask() const {
  Ask ask{.what = "unit", .choices = {}, .option = "--unit"};
  for (const auto& [unit, form, seconds] : {std::tuple{"min", "h:mm", 60.0}, std::tuple{"s", "m:ss", 1.0}}) {
    ask.choices.push_back(json::Value::object()
                              .set("value", columns_.name + "=" + unit)
                              .set("channel", columns_.name)
                              .set("read_as", form)
                              .set("minutes", std::round(most_number_ * seconds / 60 * 1000) / 1000));
  }
  return ask;
}

Ask Timekeeper::unit_ask() const {
  Ask ask{.what = "unit", .choices = {}, .option = "--unit"};
  for (const auto& [unit, seconds] : {std::pair{"s", 1.0}, std::pair{"min", 60.0}, std::pair{"h", 3600.0}}) {
    json::Value choice = json::Value::object();
    choice.set("value", columns_.name + "=" + unit);
    choice.set("channel", columns_.name);
    choice.set("minutes", std::round(last_number_ * seconds / 60 * 1000) / 1000);
    ask.choices.push_back(std::move(choice));
  }
  return ask;
}

}  // namespace trayproof::reading
