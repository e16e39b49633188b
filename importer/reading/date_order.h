// Stage 7b: in which order day, month and year stand. docs/import-reading.md is the authority.
//
// Where two orders fit, the file decides: by a day past 12, by its own run (an order under which the rows jump back, or
// leap by weeks where another gives even steps, is out), by a date in the preamble. Where it does not decide, more than
// one order is left, and it must be asked.
#pragma once

#include <initializer_list>
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
  double number = 0;
};

struct OrdersLeft {
  std::vector<DateOrder> orders;  // never empty; one: decided
  std::string_view decided_by;    // key of the sentence that says by what; empty where nothing else fitted
};

OrdersLeft orders_left(const std::vector<RowTime>& rows, const std::vector<Metadata>& metadata);

// Every date has its year in front in four digits, or its month as a word: no order changes it.
bool all_year_first(const std::vector<RowTime>& rows);

// Whether one of the words of a text is among the wanted ones.
bool any_word(std::string_view text, std::initializer_list<std::string_view> wanted);

}  // namespace trayproof::reading
