// Times of a register: what one cell says, in which order its dates stand, and the moment that is meant in the
// facility's zone, as exactly as it was written. docs/registers.md, "Times", is the authority.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "importer/reading/date_order.h"
#include "importer/reading/stamps.h"
#include "ledger/base/time.h"
#include "ledger/base/zone.h"

namespace trayproof::registers {

// One cell, before it is known in which order day and month stand.
struct RegisterTime {
  std::optional<reading::RawDate> date;
  std::optional<CivilDate> day;          // a spreadsheet's serial number: the day itself
  std::optional<std::int64_t> clock_ms;  // since midnight
  bool seconds = false;                  // the clock shows them
  std::optional<int> offset_minutes;
  bool has_day() const { return date.has_value() || day.has_value(); }
};
// A date, a time of day, both, or a spreadsheet's serial number. Nothing where it is none of these.
// "8.05" or "08.05" as a time of day.
std::optional<std::int64_t> dotted_clock_ms(std::string_view cell);
// `dotted`: the column holds clocks, and "8.05" is one.
std::optional<RegisterTime> parse_register_time(std::string_view cell, bool dotted = false);

// What the dates of a file prove about their order.
class OrdersProved {
 public:
  // `runs`: the cell stands in the column by which rows follow each other.
  void add(const RegisterTime& time, bool runs);
  bool any() const { return any_; }
  bool contradict() const;  // some dates fit one order only, others only another
  // One order; or several that fit, of which one must be asked.
  reading::OrdersLeft left() const;
  std::size_t impossible(reading::DateOrder order) const { return impossible_[static_cast<std::size_t>(order)]; }

 private:
  reading::OrderTrials trials_;
  std::array<std::size_t, 3> impossible_{};
  std::array<bool, 3> differs_{};  // from day-month-year somewhere
  bool any_ = false;
  bool year_first_ = true;  // every date has its year in front in four digits, or its month as a word
  bool runs_ = false;
};

// The day that a cell means.
std::optional<CivilDate> day_meant(const RegisterTime& time, reading::DateOrder order);

struct Moment {
  DateTime at;
  Precision precision = Precision::second;
};
// Why a wall clock's time is no moment.
enum class NoMoment { skipped, twice };
struct MomentFound {
  std::optional<Moment> moment;
  NoMoment why = NoMoment::skipped;
};
// The day alone: its first moment, known to the day.
MomentFound moment_of(const CivilDate& day, const RegisterTime& clock, const Zone& zone);

}  // namespace trayproof::registers
