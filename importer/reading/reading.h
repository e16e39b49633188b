// The stages in order: a file's bytes in, channels with their values out, with everything refused and every choice
// made. Never fails and never guesses in silence: what it cannot read it lists, what the file leaves open it asks.
// docs/import-reading.md is the authority.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "importer/reading/columns.h"
#include "importer/reading/outcome.h"
#include "importer/reading/timeline.h"
#include "ledger/base/bytes.h"

namespace trayproof::reading {

struct Options {
  std::optional<Encoding> encoding;
  std::optional<Delimiter> delimiter;
  std::optional<Decimal> decimal;
  TimelineChoices time;
  NamedUnits units;
  std::size_t chunk_bytes = std::size_t{1} << 16;  // how much is taken at a time; changes nothing but speed
};

struct ReadRow {
  std::int64_t line = 0;
  std::optional<Instant> at;
  double elapsed_s = 0;
  std::int32_t lines = 1;  // lines of the file in it: more than one in a long layout
};

struct Reading {
  Encoding encoding = Encoding::utf8;
  bool byte_order_mark = false;
  std::optional<Delimiter> delimiter;
  Decimal decimal = Decimal::point;
  std::optional<DateOrder> date_order;
  std::optional<std::int16_t> offset_minutes;  // the file's own, from its header or preamble
  std::optional<std::int64_t> header_line;
  TimeForm time_form = TimeForm::none;
  std::vector<Metadata> metadata;
  std::vector<ChannelColumn> channels;
  std::vector<IgnoredColumn> ignored;

  std::vector<ReadRow> rows;   // with a time and at least one cell for a channel; in the order of the file
  std::vector<double> values;  // rows.size() × channels.size(); NaN where there is none
  bool dated = false;
  bool seconds = true;         // the stamps show seconds
  std::int64_t rows_seen = 0;  // = readings + marks + refused.size()
  std::int64_t readings = 0;   // rows with at least one usable value
  std::int64_t marks = 0;      // rows whose values are all marks, faults or empty
  std::size_t faults = 0;      // cells emptied because they held a fault value
  std::vector<RefusedRow> refused;
  std::vector<Ask> asks;
  std::vector<std::string> notes;

  double value(std::size_t row, std::size_t channel) const { return values[row * channels.size() + channel]; }
  double& value(std::size_t row, std::size_t channel) { return values[row * channels.size() + channel]; }
};

Reading read(ByteView bytes, const Options& options);

}  // namespace trayproof::reading
