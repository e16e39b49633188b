// Counts that stand for all steps, or all resting pressures, of a file of any length.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <vector>

namespace trayproof::judging {

// The steps between readings. Exact while there are at most 4,096 different ones; then to within 2 %.
class StepCounts {
 public:
  void add(double step_s);
  bool empty() const { return total_ == 0; }
  // The middle one of all, the longer of two; 0 without any.
  double usual_s() const;
  double longest_s() const { return static_cast<double>(longest_us_) / 1e6; }
  std::int64_t longer_than(double step_s) const;

  // The count that the next one like it is added to must stay where it is.
  StepCounts() = default;
  StepCounts(const StepCounts&) = delete;
  StepCounts& operator=(const StepCounts&) = delete;
  void clear();

 private:
  std::map<std::int64_t, std::int64_t> counts_;  // by microseconds
  std::int64_t* last_ = nullptr;                 // the count of the step that came last
  double last_s_ = 0;
  std::int64_t longest_us_ = 0;
  std::int64_t total_ = 0;
};

// The middle of many pressures. Exact up to 10,000 values; then to within 0.05 kPa.
class RestCounts {
 public:
  void add(double kpa);
  std::optional<double> middle() const;

 private:
  static constexpr double lowest_kpa = -200;
  static constexpr double width_kpa = 0.1;
  static constexpr std::size_t bins = 20'000;
  void bin(double kpa);

  std::vector<double> values_;
  std::vector<std::uint32_t> counts_;
  std::int64_t total_ = 0;
};

}  // namespace trayproof::judging
