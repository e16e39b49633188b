// Stage 6c: a long layout laid out wide: lines of one stamp become one row, until a channel comes again.
// docs/import-reading.md is the authority.
#pragma once

#include <functional>
#include <limits>
#include <vector>

#include "importer/reading/reading.h"

namespace trayproof::reading {

class Widener {
 public:
  explicit Widener(std::function<void(const Row&)> sink) : sink_(std::move(sink)) {}

  // `row` holds one line's time; its values are not looked at.
  void take(const Row& row, std::size_t channel, double value) {
    const bool fresh = row_.lines == 0 || row_.at != row.at || row_.elapsed_s != row.elapsed_s ||
                       (channel < filled_.size() && filled_[channel]);
    if (fresh) {
      finish();
      row_ = row;
      row_.lines = 0;
      values_.assign(values_.size(), std::numeric_limits<double>::quiet_NaN());
      filled_.assign(filled_.size(), false);
    }
    if (channel >= values_.size()) {
      values_.resize(channel + 1, std::numeric_limits<double>::quiet_NaN());
      filled_.resize(channel + 1, false);
    }
    ++row_.lines;
    filled_[channel] = true;
    values_[channel] = value;
  }

  void finish() {
    if (row_.lines == 0) return;
    row_.values = values_;
    sink_(row_);
    row_.lines = 0;
  }

 private:
  std::function<void(const Row&)> sink_;
  Row row_{.line = 0, .lines = 0, .at = {}, .elapsed_s = 0, .values = {}};
  std::vector<double> values_;
  std::vector<bool> filled_;
};

}  // namespace trayproof::reading
