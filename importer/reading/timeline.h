// Stage 7: from stamps to instants, row after row: date order, zone, midnight, elapsed time and its start.
// docs/import-reading.md is the authority.
//
// What only a whole file tells (in which order its days and months stand) is assumed while it is read; `finish` tells
// whether the file bore it out. Where it did not, the file is read again under what it decided.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "importer/reading/columns.h"
#include "importer/reading/date_order.h"
#include "importer/reading/outcome.h"
#include "importer/reading/stamps.h"
#include "importer/reading/start.h"
#include "ledger/base/zone.h"

namespace trayproof::reading {

struct TimeAssumed {
  std::optional<DateOrder> order;
  bool begins_in_second = false;  // the rows begin in a repeated hour, the second time that it is shown
};

struct Placed {
  std::optional<Instant> at;  // nothing where no date is known
  double elapsed_s = 0;       // since the first row
};

struct Timeline {
  bool borne_out = true;
  TimeAssumed decided;
  std::optional<DateOrder> order;
  bool dated = false;                          // instants are known
  std::optional<std::int16_t> offset_minutes;  // the file's own, from its header or preamble
  std::optional<std::string> start_unread;     // a start was said that is no date-time
  std::vector<Ask> asks;
  std::vector<std::string> notes;
};

class Timekeeper {
 public:
  // `metadata`: what is known of it before the rows; of a second reading all of it.
  Timekeeper(const TimeColumns& columns, const TimelineChoices& choices, const TimeAssumed& assumed,
             const std::vector<Metadata>& metadata);

  // Nothing when the row's time names no instant.
  std::optional<Placed> place(const RowTime& row);
  Timeline finish(const std::vector<Metadata>& metadata);

 private:
  std::optional<Placed> dated(const RowTime& row);
  std::optional<Placed> clock(const RowTime& row);
  std::optional<Placed> elapsed(const RowTime& row);
  std::optional<Placed> serial(const RowTime& row);
  Placed placed_at(Instant at);
  Placed placed_after(double elapsed_s);
  std::optional<std::int64_t> day_of_row(const RowTime& row);
  std::int64_t in_first_hour(Instant at);
  std::int32_t clock_of_day(const RowTime& row);
  std::optional<Instant> start_instant() const;

  void decide_order(Timeline& out, const std::vector<Metadata>& metadata) const;
  Ask order_ask(const std::vector<DateOrder>& orders) const;
  std::optional<Ask> zone_ask() const;
  Ask unit_ask() const;
  void see_parts(const RowTime& row);
  bool is_parts_open() const;
  Ask parts_ask() const;

  TimeColumns columns_;
  const TimelineChoices& choices_;
  TimeAssumed assumed_;
  Start start_;
  std::optional<std::int16_t> offset_minutes_;
  Clockwork clockwork_;
  std::optional<Instant> elapsed_zero_;  // the start, of elapsed time
  double scale_ = 1;                     // seconds in the unit of elapsed time
  OrderTrials trials_;
  std::optional<RawDate> date_;  // of the row before
  std::optional<std::int64_t> day_;
  // Of stamps: a clock that shows twelve hours and no AM or PM, as the rows prove (`clock_of_day`).
  std::optional<RawDate> clock_date_;
  std::int32_t clock_shown_ms_ = -1;  // of the row before
  bool noon_seen_ = false;            // on that date it went from the forenoon to twelve
  bool all_hours_ = false;            // 0 or 13 was shown: it shows all twenty-four
  bool half_clock_ = false;
  bool half_clock_told_ = false;
  bool afternoon_ = false;
  std::optional<Instant> first_;
  std::optional<double> zero_s_;  // elapsed time of the first row, where no date is known
  std::optional<std::int32_t> clock_before_;
  std::int64_t clock_days_ = 0;
  double last_number_ = 0;
  // Of elapsed clocks: whether all have two parts and no fraction, and by what they go on, at least.
  bool all_two_parts_ = true;
  std::optional<double> number_before_;
  std::optional<double> least_step_;
  double most_number_ = 0;

  // The rows that a file begins with in a repeated hour, as if it were shown the first time.
  bool leading_ = true;
  std::optional<Instant> leading_first_;
  Instant leading_last_;
  std::int64_t leading_first_later_ms_ = 0;
  std::int64_t leading_later_ms_ = 0;
  bool second_found_ = false;
};

}  // namespace trayproof::reading
