// The stages in order: a file's bytes in, its rows out one after the other, with everything refused and every choice
// made. Never guesses in silence: what it cannot read it lists, what the file leaves open it asks; it fails only where
// its source does. docs/import-reading.md is the authority.
//
// Memory does not grow with the file. What only the whole file tells (its encoding, the order of day and month) is
// assumed from its beginning; where the end refutes that, the file is read again, and the sink is told to begin anew.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "importer/reading/columns.h"
#include "importer/reading/dialect.h"
#include "importer/reading/outcome.h"
#include "importer/reading/source.h"
#include "importer/reading/timeline.h"
#include "ledger/base/bytes.h"
#include "ledger/base/result.h"

namespace trayproof::reading {

enum class Speed { settled, tolerant };  // `tolerant` takes every row the long way; for comparing the two

struct Options {
  std::optional<Encoding> encoding;
  std::optional<Delimiter> delimiter;
  std::optional<Decimal> decimal;
  TimelineChoices time;
  NamedUnits units;
  std::size_t chunk_bytes = std::size_t{1} << 18;    // how much is taken at a time; changes nothing but speed
  Speed speed = Speed::settled;                      // changes nothing but speed
  std::function<void(std::int64_t bytes)> progress;  // told after each chunk how far the file is read
};

struct Row {
  std::int64_t line = 0;
  std::int32_t lines = 1;          // lines of the file in it: more than one in a long layout
  std::optional<Instant> at;       // nothing where no date is known
  double elapsed_s = 0;            // since the first row
  std::span<const double> values;  // one a channel that is known so far; NaN where there is none
};

struct ChannelCounts {
  double min = 0;  // of the present ones
  double max = 0;
  std::int64_t present = 0;
};

struct Reading {
  Encoding encoding = Encoding::utf8;
  bool byte_order_mark = false;
  std::optional<Delimiter> delimiter;
  Decimal decimal = Decimal::point;
  std::optional<DialectTrial> runner_up;  // the separator and decimal mark that came next
  double dialect_worth = 0;
  bool descending = false;  // the newest row stands first; rows were turned
  std::optional<DateOrder> date_order;
  std::optional<std::int16_t> offset_minutes;  // the file's own, from its header or preamble
  std::optional<std::int64_t> header_line;
  TimeForm time_form = TimeForm::none;
  std::string time_name;  // of its column
  std::vector<Metadata> metadata;
  std::vector<ChannelColumn> channels;
  std::vector<IgnoredColumn> ignored;

  std::vector<ChannelCounts> counts;  // one a channel
  std::int64_t rows = 0;              // rows given to the sink
  std::optional<Instant> from;        // the earliest and the latest of them
  std::optional<Instant> until;
  bool dated = false;
  bool seconds = true;         // the stamps show seconds
  std::int64_t rows_seen = 0;  // = readings + marks + refused.count()
  std::int64_t readings = 0;   // lines with at least one usable value
  std::int64_t marks = 0;      // lines whose values are all marks, faults or empty
  std::int64_t faults = 0;     // cells emptied because they held a fault value
  RefusedRows refused;
  std::vector<Ask> asks;
  std::vector<std::string> notes;
};

class RowSink {
 public:
  virtual ~RowSink() = default;
  // Rows begin, maybe anew: what came before is void. `known` holds the columns and the metadata as far as they are
  // known by now; `extent` tells whether the rows will be those of the file or only of its first lines, for a look.
  virtual void begin(const Reading& known, Extent extent) = 0;
  virtual void row(const Row& row) = 0;
  // No more rows. False: the sink decided something by them, and wants them again.
  virtual bool end(const Reading& whole) = 0;
};

Result<Reading> read(Source& source, const Options& options, RowSink& sink);

}  // namespace trayproof::reading
