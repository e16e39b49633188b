#include "importer/register/times.h"

#include <algorithm>
#include <cmath>

#include "ledger/base/number.h"

namespace trayproof::registers {
namespace {

constexpr std::int64_t spreadsheet_epoch_days = -25569;  // 1899-12-30, ECMA-376 part 1, 18.17.4.1
constexpr double serial_min = 20'000;                    // 1954
constexpr double serial_max = 73'050;                    // 2099

// Days since 1899-12-30, with either decimal mark; a part of a day alone is a time of day.
std::optional<RegisterTime> parse_serial(std::string_view cell) {
  // A number with zeros in front counts something else.
  if (cell.size() > 1 && cell[0] == '0' && cell[1] >= '0' && cell[1] <= '9') return std::nullopt;
  std::string text(cell);
  std::replace(text.begin(), text.end(), ',', '.');
  const auto number = parse_number(text);
  if (!number) return std::nullopt;
  const bool clock_only = *number > 0 && *number < 1 && text.find('.') != std::string::npos;
  if (!clock_only && (*number < serial_min || *number > serial_max)) return std::nullopt;
  RegisterTime out;
  double day = std::floor(*number);
  double seconds = std::round((*number - day) * 86'400);
  if (seconds >= 86'400) {
    day += 1;
    seconds = 0;
  }
  if (!clock_only) out.day = date_of_days(spreadsheet_epoch_days + static_cast<std::int64_t>(day));
  if (text.find('.') == std::string::npos) return out;
  out.clock_ms = static_cast<std::int64_t>(seconds) * second_ms;
  out.seconds = std::fmod(seconds, 60) != 0;
  return out;
}

}  // namespace

std::optional<std::int64_t> dotted_clock_ms(std::string_view cell) {
  const auto digit = [&](std::size_t at) { return cell[at] >= '0' && cell[at] <= '9'; };
  const std::size_t dot = cell.find('.');
  if ((dot != 1 && dot != 2) || cell.size() != dot + 3) return std::nullopt;
  for (std::size_t at = 0; at < cell.size(); ++at) {
    if (at != dot && !digit(at)) return std::nullopt;
  }
  const auto two = [&](std::size_t from, std::size_t until) {
    std::int64_t value = 0;
    for (std::size_t at = from; at < until; ++at) value = value * 10 + (cell[at] - '0');
    return value;
  };
  const std::int64_t hours = two(0, dot);
  const std::int64_t minutes = two(dot + 1, cell.size());
  if (hours > 23 || minutes > 59) return std::nullopt;
  return hours * hour_ms + minutes * minute_ms;
}

std::optional<RegisterTime> parse_register_time(std::string_view cell, bool dotted) {
  if (dotted) {
    if (const auto clock = dotted_clock_ms(cell)) {
      RegisterTime out;
      out.clock_ms = *clock;
      return out;
    }
  }
  if (const auto exact = parse_date_time(cell)) {
    const CivilTime civil = civil_of(exact->instant, exact->offset_minutes);
    RegisterTime out;
    out.day = civil.date;
    out.clock_ms = civil.hour * hour_ms + civil.minute * minute_ms + civil.second * second_ms + civil.millisecond;
    out.seconds =
        std::count(cell.begin(), cell.begin() + static_cast<std::ptrdiff_t>(std::min<std::size_t>(19, cell.size())),
                   ':') == 2;
    out.offset_minutes = exact->offset_minutes;
    return out;
  }
  if (auto serial = parse_serial(cell)) return serial;
  const auto stamp = reading::parse_stamp(cell);
  if (!stamp || (!stamp->date && !stamp->clock_ms)) return std::nullopt;
  RegisterTime out;
  out.date = stamp->date;
  if (stamp->clock_ms) out.clock_ms = *stamp->clock_ms;
  out.seconds = stamp->seconds;
  if (stamp->offset_minutes) out.offset_minutes = *stamp->offset_minutes;
  return out;
}

void OrdersProved::add(const RegisterTime& time, bool runs) {
  if (!time.date) return;
  const auto days = reading::three_days(*time.date);
  // What is no day under any order proves none; its row is refused.
  if (std::none_of(days.days.begin(), days.days.end(), [](const auto& day) { return day.has_value(); })) return;
  any_ = true;
  if (!time.date->named_month && time.date->digits[0] <= 2) year_first_ = false;
  for (std::size_t i = 0; i < days.days.size(); ++i) {
    if (!days.days[i]) ++impossible_[i];
    if (days.days[i] != days.days[0]) differs_[i] = true;
  }
  if (runs) {
    trials_.row({.date = *time.date, .has_date = true});
    runs_ = true;
  }
}

bool OrdersProved::contradict() const {
  return any_ && std::all_of(impossible_.begin(), impossible_.end(), [](std::size_t count) { return count > 0; });
}

reading::OrdersLeft OrdersProved::left() const {
  reading::OrdersLeft fits;
  if (year_first_) {
    fits.orders.push_back(reading::DateOrder::ymd);
    return fits;
  }
  for (std::size_t i = 0; i < impossible_.size(); ++i) {
    if (impossible_[i] != 0) continue;
    // Orders that name the same day everywhere are one.
    if (i > 0 && impossible_[0] == 0 && !differs_[i]) continue;
    fits.orders.push_back(reading::date_orders[i]);
  }
  if (fits.orders.size() < 2 || !runs_) return fits;
  const auto run = trials_.left({});
  reading::OrdersLeft both;
  both.decided_by = run.decided_by;
  for (const reading::DateOrder order : fits.orders) {
    if (std::find(run.orders.begin(), run.orders.end(), order) != run.orders.end()) both.orders.push_back(order);
  }
  return both.orders.empty() ? fits : both;
}

std::optional<CivilDate> day_meant(const RegisterTime& time, reading::DateOrder order) {
  if (time.day) return time.day;
  if (!time.date) return std::nullopt;
  return reading::day_of(*time.date, order);
}

MomentFound moment_of(const CivilDate& day, const RegisterTime& clock, const Zone& zone) {
  if (!clock.clock_ms) return {Moment{zone.local(zone.start_of(day)), Precision::day}, NoMoment::skipped};
  const std::int64_t ms = *clock.clock_ms;
  const CivilTime civil{.date = day,
                        .hour = static_cast<int>(ms / hour_ms),
                        .minute = static_cast<int>(ms / minute_ms % 60),
                        .second = static_cast<int>(ms / second_ms % 60),
                        .millisecond = static_cast<int>(ms % second_ms)};
  const Precision precision = clock.seconds ? Precision::second : Precision::minute;
  if (clock.offset_minutes)
    return {Moment{{instant_of(civil, *clock.offset_minutes), *clock.offset_minutes}, precision}, NoMoment::skipped};
  const auto instants = zone.instants(civil);
  if (instants.size() == 1) return {Moment{zone.local(instants.front()), precision}, NoMoment::skipped};
  return {std::nullopt, instants.empty() ? NoMoment::skipped : NoMoment::twice};
}

}  // namespace trayproof::registers
