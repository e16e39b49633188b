#include "importer/reading/faults.h"

#include <cmath>
#include <limits>

namespace trayproof::reading {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr double same = 0.005;
constexpr int longest_run = 3;
constexpr std::size_t waiting_max = 1000;

}  // namespace

// Nothing that a sterilizer, washer or oven does lies outside the first two; the third is what common digital sensors
// show when they wake up, and what thermocouple amplifiers show (850 °C) lies above the second (manufacturers' data
// sheets, from memory).
Faults::Watch Faults::watch_of(const ChannelColumn& channel) {
  Watch watch;
  watch.is_temperature = channel.quantity == Quantity::temperature;
  watch.before = none;
  const Unit unit = channel.unit ? channel.unit->unit : Unit::celsius;
  watch.lowest = unit == Unit::fahrenheit ? -328 : unit == Unit::kelvin ? 73.15 : -200;
  watch.highest = unit == Unit::fahrenheit ? 1112 : unit == Unit::kelvin ? 873.15 : 600;
  watch.power_on = unit == Unit::fahrenheit ? 185 : unit == Unit::kelvin ? 358.15 : 85;
  watch.apart = unit == Unit::fahrenheit ? 27 : 15;
  return watch;
}

bool Faults::calm(const Row& row) const {
  for (std::size_t k = 0; k < row.values.size(); ++k) {
    const Watch& watch = watches_[k];
    const double value = row.values[k];
    // A missing value compares false with everything.
    if (watch.is_temperature &&
        (value <= watch.lowest || value >= watch.highest || std::abs(value - watch.power_on) < same))
      return false;
  }
  return true;
}

void Faults::take(const Row& row, const std::vector<ChannelColumn>& channels) {
  while (watches_.size() < channels.size()) watches_.push_back(watch_of(channels[watches_.size()]));
  if (suspects_ == 0 && waiting_.empty() && calm(row)) {
    for (std::size_t k = 0; k < row.values.size(); ++k) {
      if (!std::isnan(row.values[k])) watches_[k].before = row.values[k];
    }
    return sink_(row);
  }
  waiting_.push_back({row, {row.values.begin(), row.values.end()}});
  for (std::size_t k = 0; k < row.values.size(); ++k) {
    if (watches_[k].is_temperature && !std::isnan(row.values[k])) look(k, row.values[k]);
  }
  if (waiting_.size() > waiting_max) {
    for (std::size_t k = 0; k < watches_.size(); ++k) {
      if (watches_[k].suspects) end_run(k, none);
    }
  }
  if (suspects_ == 0) release();
}

void Faults::look(std::size_t channel, double value) {
  Watch& watch = watches_[channel];
  if (watch.suspects) {
    if (std::abs(value - watch.value) <= 2 * same) {
      if (++watch.length > longest_run) end_run(channel, none);
      return;
    }
    end_run(channel, value);
  }
  if (value <= watch.lowest || value >= watch.highest) {
    waiting_.back().values[channel] = none;
    ++dropped_;
  } else if (std::abs(value - watch.power_on) < same) {
    watch.suspects = true;
    watch.value = value;
    watch.length = 1;
    watch.first = waiting_.size() - 1;
    ++suspects_;
  } else {
    watch.before = value;
  }
}

// A fault stands apart from what came before and from what comes after it; a value that stays is none.
void Faults::end_run(std::size_t channel, double after) {
  Watch& watch = watches_[channel];
  watch.suspects = false;
  --suspects_;
  const auto apart = [&](double neighbour) {
    return std::isnan(neighbour) || std::abs(watch.value - neighbour) > watch.apart;
  };
  const bool alone = std::isnan(watch.before) && std::isnan(after);
  if (watch.length > longest_run || alone || !apart(watch.before) || !apart(after)) {
    watch.before = watch.value;
    return;
  }
  for (std::size_t i = watch.first; i < waiting_.size(); ++i) {
    if (channel >= waiting_[i].values.size()) continue;
    double& value = waiting_[i].values[channel];
    if (std::isnan(value) || std::abs(value - watch.value) > 2 * same) continue;
    value = none;
    ++dropped_;
  }
}

void Faults::release() {
  for (Waiting& one : waiting_) {
    one.row.values = one.values;
    sink_(one.row);
  }
  waiting_.clear();
}

void Faults::finish() {
  for (std::size_t k = 0; k < watches_.size(); ++k) {
    if (watches_[k].suspects) end_run(k, none);
  }
  release();
}

}  // namespace trayproof::reading
