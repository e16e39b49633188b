// Cycles found while a file is read: rows come in, and each cycle goes out with the samples around it as soon as it has
// ended. Kept are the samples of the stretch in hand only. docs/import-reading.md, "One pass" and "Cycles", is the
// authority.
//
// A stretch that stays hot for more readings than memory may hold is cut there, and that is told.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "importer/judging/decisions.h"
#include "importer/judging/order.h"
#include "importer/judging/phases.h"
#include "importer/judging/repeats.h"
#include "importer/judging/series.h"
#include "importer/judging/steps.h"

namespace trayproof::judging {

class CycleStream : public reading::RowSink {
 public:
  struct Sink {
    std::function<void()> begin;  // what was given before is void
    // A stretch of the file that is complete, with its cycles, maybe none. `cycles` is how many the file has.
    std::function<void(const Series& series, const std::vector<Stretch>& stretches, std::size_t cycles)> stretch;
  };
  // `one_matters`: whether the file holds one cycle or more makes a difference to the sink.
  CycleStream(const SeriesOptions& options, bool one_matters, Sink sink)
      : options_(options), one_matters_(one_matters), sink_(std::move(sink)) {}

  void begin(const reading::Reading& known, reading::Extent extent) override;
  void row(const reading::Row& row) override;
  bool end(const reading::Reading& whole) override;

  // After the last end:
  const Decisions& decisions() const { return decided_; }
  std::optional<double> interval_s() const;
  std::vector<std::string> notes() const;
  // The channels with the units that the file's own values decided.
  const std::vector<reading::ChannelColumn>& channels() const { return channels_; }

 private:
  // What only the whole file tells, as it is taken while the file is read.
  struct Assumed {
    std::optional<Decisions> decisions;
    OrderRules order;
    std::optional<double> interval_s;
    std::vector<Passage> passed_twice;
    std::size_t cycles = 0;
  };

  bool is_repeat(const Sample& sample);
  void note_run(double at_s);
  void keep(Sample sample);
  void cut_where_quiet();
  void cut_by_force();
  void close(std::size_t end);
  std::optional<std::size_t> quiet_place() const;
  double hottest(const Sample& sample) const;
  double reach_s() const;
  double at(std::size_t i) const { return series_.samples[i].elapsed_s; }

  SeriesOptions options_;
  bool one_matters_;
  Sink sink_;
  Assumed assumed_;
  Decisions decided_;
  std::vector<reading::ChannelColumn> channels_;
  bool only_head_ = false;

  // Of the rows since `begin`:
  Series series_;  // the stretch in hand
  StepCounts steps_;
  StepCounts raw_steps_;  // before the rows were put in order
  RestCounts rest_;
  Runs runs_;
  std::unique_ptr<SeenRows> seen_;
  OrderCounts counts_;
  std::int64_t rows_ = 0;
  std::int64_t equal_ = 0;        // rows with the stamp of the row before
  std::int64_t equal_run_ = 0;    // of them, since the stamp changed
  std::int64_t forced_ = 0;       // stretches cut for their length
  std::int64_t forced_line_ = 0;  // the first
  std::optional<double> raw_last_s_;
  std::optional<double> last_s_;      // the last sample of the stretch before
  std::size_t cold_run_ = 0;          // rows of the stretch in hand, counted from its end, that are cold
  std::size_t orderly_ = 0;           // and that do not lie before the row above them
  std::optional<double> hot_last_s_;  // the last row of it that was hot
  bool hot_open_ = false;             // and nothing since was cool
  std::size_t cycles_ = 0;
  bool interval_used_ = false;  // a cycle was judged by the interval
};

}  // namespace trayproof::judging
