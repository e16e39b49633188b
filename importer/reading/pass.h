// One way through a file, from decoded text to rows: lines, records, rows, times, faults, counts. What it assumed of
// the whole file it confirms or refutes at the end. docs/import-reading.md, "One pass", is the authority.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "importer/reading/faults.h"
#include "importer/reading/reading.h"
#include "importer/reading/rows.h"
#include "importer/reading/settled.h"
#include "importer/reading/turned.h"
#include "importer/reading/widen.h"

namespace trayproof::reading {

// What the head of a file says of all of it.
struct Plan {
  Reading known;  // dialect, metadata and columns; no rows
  Layout layout;
  Columns columns;
};

class Pass {
 public:
  Pass(const Plan& plan, const Options& options, const TimeAssumed& assumed, RowSink& sink);

  void feed(std::string_view text) { lines_.feed(text); }
  // The reading is whole then.
  void finish();

  const Reading& reading() const { return reading_; }
  Reading take_reading() { return std::move(reading_); }
  bool borne_out() const { return borne_out_; }
  const TimeAssumed& decided() const { return decided_; }

 private:
  Lines::Taken take_settled(const TextLine& text);
  void record(const Record& record);
  void parsed(const ParsedRow& row, const RowTime& time);
  void in_order(const ParsedRow& row, const RowTime& time);
  void placed(const Row& row);
  bool is_measured(std::size_t channel) const;

  RowSink& sink_;
  Reading reading_;
  Columns columns_;
  Timekeeper timekeeper_;
  Faults faults_;
  Widener widener_;
  Turned turned_;
  Rows rows_;
  std::optional<Settled> settled_;
  Settled::Sink settled_sink_;
  Records records_;
  Lines lines_;
  std::size_t channels_looked_at_ = 0;
  bool any_measured_ = false;  // some channel is a temperature, a pressure or humidity
  TimeAssumed decided_;
  bool borne_out_ = true;
};

}  // namespace trayproof::reading
