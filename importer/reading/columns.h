// Stage 5: which column is what, by its name, its unit and what stands in it. docs/import-reading.md is the authority.
//
// Set points, limits, rates and averages are never readings; a column of counters or of text is none either.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "importer/reading/head.h"
#include "importer/reading/units.h"

namespace trayproof::reading {

enum class Quantity { temperature, pressure, humidity, barometer, other };
std::string_view name_of(Quantity quantity);

enum class TimeForm {
  none,
  stamp,          // date and time in one cell
  apart,          // a date cell and a time cell
  clock,          // time of day only
  elapsed_clock,  // "0:01:30" since the start
  elapsed,        // a number since the start
  unix_seconds,
  unix_milliseconds,
  serial,  // days since 1899-12-30, as spreadsheets count
};

struct TimeColumns {
  TimeForm form = TimeForm::none;
  std::size_t first = 0;             // the cell of the stamp, the date, the clock or the number
  std::optional<std::size_t> clock;  // of `apart`
  bool bare = false;                 // of `apart`: the clock is digits alone, "225000", or parted by dots
  bool clocked = false;              // of `stamp`: the cells hold times of day too, not days alone
  std::optional<std::size_t> half;   // a cell that holds only AM or PM
  std::optional<std::size_t> date;   // of `clock`: a cell that holds a date where a day begins, and nothing else
  std::optional<Unit> unit;          // of `elapsed`; absent: must be asked
  std::optional<double> step_s;      // of `elapsed`: it counts samples, taken this far apart
  std::string name;
};

struct ChannelColumn {
  std::size_t cell = 0;
  std::string name;
  Quantity quantity = Quantity::other;
  std::optional<UnitName> unit;
  std::string unit_text;  // as the file writes it
};

// A row per channel: which cells hold the channel's name, the value and the unit.
struct LongForm {
  std::size_t channel = 0;
  std::size_t value = 0;
  std::optional<std::size_t> unit;
};

struct IgnoredColumn {
  std::string name;
  std::string why;  // "derived", "counter", "text", "time"
};

struct Columns {
  TimeColumns time;
  std::vector<ChannelColumn> channels;  // in the order of the file; grows while a long layout is read
  std::optional<LongForm> rows_of_channels;
  std::vector<IgnoredColumn> ignored;
  std::optional<Metadata> first_date;  // of `clock`: in the cell of the date
  std::size_t count = 0;               // cells that a row has by the header, or mostly
  // Where a comma separates and is the decimal mark too: which of the named columns may stand in two cells.
  std::vector<bool> pairs;
};

using NamedUnits = std::vector<std::pair<std::string, std::string>>;

// The cells of a row whose numbers a separating comma cut in two, joined again; nothing where it cannot be told which.
std::optional<std::vector<std::string>> join_pairs(const std::vector<std::string_view>& cells,
                                                   const std::vector<bool>& pairs);

Columns find_columns(const Layout& layout, Decimal decimal, Delimiter delimiter, const NamedUnits& said);
// A channel of a long layout, by its name and the unit beside it.
ChannelColumn long_channel(std::string name, std::string_view unit, const NamedUnits& said);

}  // namespace trayproof::reading
