// Stage 8: values that are the sensor's fault and no temperature: an open thermocouple at the bottom or top of its
// range, the value of a sensor that has just been switched on. They are marks, never minima or maxima.
// docs/import-reading.md is the authority.
#pragma once

#include <cstdint>
#include <deque>
#include <functional>
#include <span>
#include <vector>

#include "importer/reading/reading.h"

namespace trayproof::reading {

// Rows pass through; those that hold a value of which only what follows tells whether it is a fault wait for it, at
// most a thousand.
class Faults {
 public:
  explicit Faults(std::function<void(const Row&)> sink) : sink_(std::move(sink)) {}

  // `channels` are all that are known at this row.
  void take(const Row& row, const std::vector<ChannelColumn>& channels);
  void finish();
  std::int64_t dropped() const { return dropped_; }

 private:
  // The same levels in each unit.
  struct Watch {
    bool on = false;       // of a temperature, or of a pressure whose unit is known
    double lowest = 0;     // at this and below, at `highest` and above it is a fault whatever stands beside it
    double highest = 0;
    double power_on = 0;   // suspicious: exactly this,
    double cold = 0;       // at this or below,
    bool round = false;    // 999.9, 32767 and the like
    double apart = 0;      // how far a fault stands from its neighbours: 15 K, 30 kPa
    bool suspicious(double v) const;
    double before = 0;  // the last value that was none; NaN at first
    // A run of one suspicious value.
    bool suspects = false;
    double value = 0;
    bool may_last = false;  // a run of any length
    int length = 0;
    std::size_t first = 0;  // its first row among those that wait
  };
  struct Waiting {
    Row row;
    std::vector<double> values;
  };

  static Watch watch_of(const ChannelColumn& channel);
  bool calm(const Row& row) const;
  void look(std::size_t channel, double value);
  void end_run(std::size_t channel, double after);
  void release();

  std::function<void(const Row&)> sink_;
  std::vector<Watch> watches_;
  std::deque<Waiting> waiting_;
  std::size_t suspects_ = 0;  // channels in a run
  std::int64_t dropped_ = 0;
};

}  // namespace trayproof::reading
