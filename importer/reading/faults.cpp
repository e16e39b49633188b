#include "importer/reading/faults.h"

#include <cmath>
#include <limits>

namespace trayproof::reading {
namespace {

// The same four levels in each unit. Nothing that a sterilizer, washer or oven does lies outside the first two; the
// last two are what common digital and thermocouple amplifiers show when they wake up (manufacturers' data sheets, from
// memory).
struct Levels {
  double lowest;
  double highest;
  double power_on;
  double power_on_high;
  double apart;  // a fault stands this far from its neighbours: 15 K
};

Levels levels_of(const ChannelColumn& channel) {
  const Unit unit = channel.unit ? channel.unit->unit : Unit::celsius;
  if (unit == Unit::fahrenheit) return {-328, 1112, 185, 1562, 27};
  if (unit == Unit::kelvin) return {73.15, 873.15, 358.15, 1123.15, 15};
  return {-200, 600, 85, 850, 15};
}

class Dropper {
 public:
  Dropper(Reading& reading, std::size_t channel)
      : reading_(reading), channel_(channel), levels_(levels_of(reading.channels[channel])) {}

  std::size_t run() {
    std::size_t dropped = 0;
    double before = none;
    for (std::size_t i = 0; i < reading_.rows.size();) {
      const double value = reading_.value(i, channel_);
      if (std::isnan(value)) {
        ++i;
        continue;
      }
      if (!suspect(value)) {
        before = value;
        ++i;
        continue;
      }
      std::size_t end = i;
      std::size_t length = 0;
      double after = none;
      for (; end < reading_.rows.size(); ++end) {
        const double next = reading_.value(end, channel_);
        if (std::isnan(next)) continue;
        if (std::abs(next - value) > 0.01) {
          after = next;
          break;
        }
        ++length;
      }
      if (is_fault(value, before, after, length)) {
        for (std::size_t k = i; k < end; ++k) {
          if (std::isnan(reading_.value(k, channel_))) continue;
          reading_.value(k, channel_) = none;
          ++dropped;
        }
      } else {
        before = value;
      }
      i = end;
    }
    return dropped;
  }

 private:
  static constexpr double none = std::numeric_limits<double>::quiet_NaN();

  bool outside(double value) const { return value <= levels_.lowest || value >= levels_.highest; }
  bool wakes(double value) const {
    return std::abs(value - levels_.power_on) < 0.005 || std::abs(value - levels_.power_on_high) < 0.005;
  }
  bool suspect(double value) const { return outside(value) || wakes(value); }
  bool stands_apart(double value, double neighbour) const {
    return std::isnan(neighbour) || std::abs(value - neighbour) > levels_.apart;
  }
  bool is_fault(double value, double before, double after, std::size_t length) const {
    if (outside(value)) return true;
    if (length > 3 || (std::isnan(before) && std::isnan(after))) return false;
    return stands_apart(value, before) && stands_apart(value, after);
  }

  Reading& reading_;
  std::size_t channel_;
  Levels levels_;
};

}  // namespace

std::size_t drop_faults(Reading& reading) {
  std::size_t dropped = 0;
  for (std::size_t channel = 0; channel < reading.channels.size(); ++channel) {
    if (reading.channels[channel].quantity == Quantity::temperature) dropped += Dropper(reading, channel).run();
  }
  return dropped;
}

}  // namespace trayproof::reading
