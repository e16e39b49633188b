#include "importer/reading/faults.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>

namespace trayproof::reading {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr double same = 0.005;
constexpr int longest_run = 3;
constexpr std::size_t waiting_max = 1000;

// Of a unit of pressure, near enough for telling faults; 0 of any other.
double kilopascals_in(Unit unit) {
  switch (unit) {
    case Unit::kpa:
      return 1;
    case Unit::hpa:
      return 0.1;
    case Unit::bar:
      return 100;
    case Unit::mpa:
      return 1000;
    case Unit::pa:
      return 0.001;
    case Unit::psi:
      return 6.895;
    case Unit::kgf_cm2:
      return 98.07;
    case Unit::mmhg:
      return 0.1333;
    case Unit::inhg:
      return 3.386;
    case Unit::atm:
      return 101.3;
    default:
      return 0;
  }
}

}  // namespace

// Of temperature: nothing that a sterilizer, washer or oven does lies outside the first two. Common digital sensors show
// 85 when they wake up and -127 when their wire is off, thermocouple amplifiers 850 and more, resistance thermometers
// that are shorted -200 and less (manufacturers' data sheets, from memory). Of pressure: no transducer of a sterilizer
// shows less than a vacuum by 50 kPa or more than 5 MPa; 999.9 and 32767 are what displays and converters end with.
Faults::Watch Faults::watch_of(const ChannelColumn& channel) {
  Watch watch;
  watch.before = none;
  if (channel.quantity == Quantity::temperature) {
    const Unit unit = channel.unit ? channel.unit->unit : Unit::celsius;
    watch.on = true;
    watch.lowest = unit == Unit::fahrenheit ? -328 : unit == Unit::kelvin ? 73.15 : -200;
    watch.highest = unit == Unit::fahrenheit ? 1112 : unit == Unit::kelvin ? 873.15 : 600;
    watch.power_on = unit == Unit::fahrenheit ? 185 : unit == Unit::kelvin ? 358.15 : 85;
    watch.cold = unit == Unit::fahrenheit ? -40 : unit == Unit::kelvin ? 233.15 : -40;
    watch.apart = unit == Unit::fahrenheit ? 27 : 15;
  } else if (channel.quantity == Quantity::pressure && channel.unit) {
    const double kpa = kilopascals_in(channel.unit->unit);
    if (kpa == 0) return watch;
    watch.on = watch.round = true;
    watch.lowest = -150 / kpa;
    watch.highest = 5000 / kpa;
    watch.power_on = watch.cold = -std::numeric_limits<double>::infinity();
    watch.apart = 30 / kpa;
  }
  return watch;
}

bool Faults::Watch::suspicious(double v) const {
  if (std::abs(v - power_on) < same || v <= cold) return true;
  if (!round || std::abs(v) < 999) return false;
  static constexpr double ends[] = {999, 999.9, 999.99, 3276.7, 3276.8, 6553.5, 9999, 9999.9, 32767, 32768, 65535, 99999};
  return std::any_of(std::begin(ends), std::end(ends), [&](double one) { return std::abs(v) == one; });
}

bool Faults::calm(const Row& row) const {
  for (std::size_t k = 0; k < row.values.size(); ++k) {
    const Watch& watch = watches_[k];
    const double value = row.values[k];
    // A missing value compares false with everything.
    if (watch.on && (value <= watch.lowest || value >= watch.highest || watch.suspicious(value))) return false;
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
    if (watches_[k].on && !std::isnan(row.values[k])) look(k, row.values[k]);
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
      if (++watch.length > longest_run && !watch.may_last) end_run(channel, none);
      return;
    }
    end_run(channel, value);
  }
  if (value <= watch.lowest || value >= watch.highest) {
    waiting_.back().values[channel] = none;
    ++dropped_;
  } else if (watch.suspicious(value)) {
    watch.suspects = true;
    watch.may_last = std::abs(value - watch.power_on) >= same;
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
  if ((watch.length > longest_run && !watch.may_last) || alone || !apart(watch.before) || !apart(after)) {
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
