// Stage 7b: in which order day, month and year stand. docs/import-reading.md is the authority.
//
// Where two orders fit, the file decides: by a day past 12, by its own run (an order under which the rows jump back, or
// leap by weeks where another gives even steps, is out), by a date in the preamble. Where it does not decide, more than
// one order is left, and it must be asked.
#pragma once

#include <array>
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "importer/reading/clockwork.h"
#include "importer/reading/head.h"
#include "importer/reading/stamps.h"

namespace trayproof::reading {

// The time of one row as it was read; which members count depends on the form.
struct RowTime {
  RawDate date;
  std::int32_t clock_ms = -1;  // -1: the row has none
  std::int16_t offset_minutes = no_offset;
  bool has_date = false;
  bool two_parts = false;  // `number` is "0:33": hours and minutes, or minutes and seconds
  double number = 0;
};

struct OrdersLeft {
  std::vector<DateOrder> orders;  // never empty; one: decided
  std::string_view decided_by;    // key of the sentence that says by what; empty where nothing else fitted
};

inline constexpr std::array<DateOrder, 3> date_orders = {DateOrder::dmy, DateOrder::mdy, DateOrder::ymd};

// The day of one date under each of `date_orders`, as days since 1970-01-01.
struct ThreeDays {
  std::array<std::optional<std::int64_t>, 3> days;
};
ThreeDays three_days(const RawDate& date);

// What each order makes of all rows of a file, seen one after the other.
class OrderTrials {
 public:
  void row(const RowTime& row);
  OrdersLeft left(const std::vector<Metadata>& metadata) const;

  bool any_date() const { return any_; }
  // Every date has its year in front in four digits, or its month as a word: no order changes it.
  bool all_year_first() const { return year_first_; }
  // The first and the last row that is a day under that order.
  const std::optional<RowTime>& first(DateOrder order) const { return firsts_[static_cast<std::size_t>(order)]; }
  const std::optional<RowTime>& last(DateOrder order) const;

  // What one order makes of all rows.
  struct Trial {
    DateOrder order = DateOrder::ymd;
    std::size_t impossible = 0;
    std::size_t backward = 0;
    std::size_t leaps = 0;   // steps of more than 20 days
    std::int64_t first = 0;  // days
    std::int64_t last = 0;
    std::optional<std::int64_t> before;
  };

 private:
  void new_date(const RowTime& row);
  bool same(std::vector<Trial>& trials) const;
  void two_digit_years(std::vector<Trial>& trials) const;

  std::array<Trial, 3> trials_ = {Trial{.order = DateOrder::dmy, .before = {}},
                                  Trial{.order = DateOrder::mdy, .before = {}},
                                  Trial{.order = DateOrder::ymd, .before = {}}};
  std::array<std::optional<RowTime>, 3> firsts_;
  std::array<std::optional<RowTime>, 3> lasts_;  // before the rows of the date in hand
  std::array<std::array<bool, 3>, 3> differ_{};  // two orders name different days for some row
  ThreeDays now_;                                // of the date in hand
  std::optional<RowTime> row_;                   // the last one
  bool any_ = false;
  bool any_impossible_ = false;  // the date in hand is no day under some order
  bool year_first_ = true;
  char separator_ = 0;  // of the first date
};

// Whether one of the words of a text is among the wanted ones.
bool any_word(std::string_view text, std::initializer_list<std::string_view> wanted);

}  // namespace trayproof::reading
