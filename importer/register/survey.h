// What all rows of a register say together: which columns hold days and which hold clocks, in which order the dates
// stand, which mark is decimal. Private to the register.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "importer/reading/numbers.h"
#include "importer/register/matching.h"
#include "importer/register/times.h"

namespace trayproof::registers {

struct ColumnSurvey {
  std::int64_t days = 0;    // cells with a day and no clock
  std::int64_t clocks = 0;  // with a clock and no day
  std::int64_t both = 0;
  bool names_clock = false;  // the heading says time
  bool dotted = false;       // and some cell is a clock with a dot, past the first hour: no part of a day
  std::string first;         // the first cell that is a time
};

class Survey {
 public:
  explicit Survey(const Matching& matching);
  void row(const SheetRow& row);

  // Fields that several columns contest, settled where one holds days only and the other clocks only.
  void settle(Matching& matching) const;
  const ColumnSurvey& of(std::size_t cell) const;

  const OrdersProved& orders() const { return orders_; }
  // A date of which several orders make days, for the question.
  const std::string& open_date() const { return open_date_; }

  bool point() const { return point_; }
  bool comma() const { return comma_; }
  const std::string& open_number() const { return open_number_; }

 private:
  void number(std::string_view cell);

  std::map<std::size_t, ColumnSurvey> times_;  // by cell
  std::vector<std::size_t> numbers_;
  std::size_t runs_ = 0;  // the cell by which rows follow each other
  bool has_runs_ = false;
  OrdersProved orders_;
  std::string open_date_;
  bool point_ = false;
  bool comma_ = false;
  std::string open_number_;
};

}  // namespace trayproof::registers
