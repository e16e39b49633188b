#include "importer/judging/course.h"

#include <algorithm>
#include <cmath>

namespace trayproof::judging {
namespace {

// Levels that name what is seen; none of them is a limit. A pulse of air removal goes at least so far down and comes
// back; a machine that only breathes does not.
constexpr double pulse_kpa = 20;
constexpr double pulse_k = 5;
constexpr double open_kpa = 10;  // as good as the room's
constexpr double boils_c = 100;

class Teller {
 public:
  Teller(const Curve& curve, const std::optional<Plateau>& plateau, Heat heat, double room_kpa)
      : readings_(curve.readings), pressure_(curve.has_pressure), heat_(heat), room_kpa_(room_kpa) {
    if (plateau) {
      top_first_ = plateau->first;
      top_last_ = plateau->last;
      has_plateau_ = true;
    } else {
      const auto highest = std::max_element(readings_.begin(), readings_.end(),
                                            [](const Reading& a, const Reading& b) { return a.cold_c < b.cold_c; });
      top_first_ = top_last_ = static_cast<std::size_t>(highest - readings_.begin());
    }
  }

  Course run() {
    std::size_t at = 0;
    if (heat_ == Heat::steam) at = air_removal();
    phase("come-up", at, top_first_);
    if (has_plateau_) phase("plateau", top_first_, top_last_);
    at = top_last_;
    if (heat_ == Heat::steam) {
      const std::size_t open = exhausted();
      phase("exhaust", at, open);
      const std::size_t dry = pressure_ ? dried(open) : open;
      phase("drying", open, dry);
      at = dry;
    }
    phase("cooling", at, readings_.size() - 1);
    return std::move(course_);
  }

 private:
  void phase(std::string_view what, std::size_t first, std::size_t last) {
    if (last > first) course_.phases.push_back({what, first, last});
  }

  // What a pulse moves: the pressure where there is one, else the temperature of the coldest channel.
  double level(std::size_t i) const { return pressure_ ? readings_[i].pressure_kpa_abs : readings_[i].cold_c; }

  // Each fall and rise of that depth before the plateau is a pulse, and so is a fall below the room's pressure that the
  // come-up follows. Gives where the last one ends.
  std::size_t air_removal() {
    const double depth = pressure_ ? pulse_kpa : pulse_k;
    double high = level(0);
    double low = high;
    bool falling = false;
    std::size_t bottom = 0;
    std::size_t end = 0;
    for (std::size_t i = 1; i <= top_first_; ++i) {
      const double value = level(i);
      if (std::isnan(value)) continue;
      if (std::isnan(high)) high = low = value;
      if (!falling) {
        high = std::max(high, value);
        if (value <= high - depth) {
          falling = true;
          low = value;
          bottom = i;
        }
        continue;
      }
      if (value < low) {
        low = value;
        bottom = i;
      }
      if (value < low + depth) continue;
      falling = false;
      high = value;
      end = bottom;
      ++course_.pulses;
    }
    phase("air-removal", 0, end);
    return end;
  }

  // Where the chamber is open to the room, or no steam can be left.
  std::size_t exhausted() const {
    for (std::size_t i = top_last_; i < readings_.size(); ++i) {
      const double kpa = readings_[i].pressure_kpa_abs;
      if (pressure_ ? kpa <= room_kpa_ + open_kpa : readings_[i].cold_c < boils_c) return i;
    }
    return readings_.size() - 1;
  }

  // The last reading in a vacuum after it.
  std::size_t dried(std::size_t open) const {
    std::size_t last = open;
    for (std::size_t i = open; i < readings_.size(); ++i) {
      if (readings_[i].pressure_kpa_abs < room_kpa_ - pulse_kpa) last = i;
    }
    return last;
  }

  const std::vector<Reading>& readings_;
  bool pressure_;
  Heat heat_;
  double room_kpa_;
  std::size_t top_first_ = 0;
  std::size_t top_last_ = 0;
  bool has_plateau_ = false;
  Course course_;
};

}  // namespace

Course course_of(const Curve& curve, const std::optional<Plateau>& plateau, Heat heat, double room_kpa) {
  if (curve.readings.empty()) return {};
  return Teller(curve, plateau, heat, room_kpa).run();
}

}  // namespace trayproof::judging
