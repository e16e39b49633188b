#include "importer/judging/phases.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace trayproof::judging {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr double counts_c = 65;  // A0 begins to count here; nothing below does anything
constexpr double valley_k = 20;  // two plateaus with a valley of this depth between them are two cycles
constexpr double plateau_k = 3;
constexpr double plateau_s = 150;  // longer than a prevacuum pulse keeps its top

class Cutter {
 public:
  explicit Cutter(const Series& series) : series_(series) {
    for (const Sample& sample : series.samples) {
      double hottest = none;
      for (std::size_t i = 0; i < sample.temperature_c.size(); ++i) {
        const double value = sample.temperature_c[i];
        if (series.in_load[i] && !std::isnan(value) && !(hottest >= value)) hottest = value;
      }
      hottest_.push_back(hottest);
    }
  }

  std::vector<Stretch> run() {
    std::size_t begin = 0;
    for (std::size_t i = 1; i <= hottest_.size(); ++i) {
      const bool ends = i == hottest_.size() || is_break(i);
      if (!ends) continue;
      cut_segment(begin, i);
      begin = i;
    }
    join_pulses();
    return std::move(cycles_);
  }

 private:
  // A top that nothing keeps, followed at once by the next heating, is a pulse of that one's air removal: a deep vacuum
  // cools the chamber below anything that a cycle ends with.
  void join_pulses() {
    std::vector<Stretch> joined;
    for (const Stretch& next : cycles_) {
      const bool pulse = !joined.empty() && !is_broken(joined.back().hot_last, next.hot_first) &&
                         at(next.hot_first) - at(joined.back().hot_last) <= pulse_gap_s &&
                         !keeps_top(joined.back().hot_first, joined.back().hot_last);
      if (!pulse) {
        joined.push_back(next);
        continue;
      }
      joined.back().last = next.last;
      joined.back().hot_last = next.hot_last;
    }
    cycles_ = std::move(joined);
  }

  bool is_broken(std::size_t first, std::size_t last) const {
    for (std::size_t i = first + 1; i <= last; ++i) {
      if (is_break(i)) return true;
    }
    return false;
  }

  double at(std::size_t i) const { return series_.samples[i].elapsed_s; }

  bool is_break(std::size_t i) const { return at(i) < at(i - 1) || at(i) - at(i - 1) > pause_s; }

  void cut_segment(std::size_t begin, std::size_t end) {
    std::optional<std::size_t> first;
    std::size_t last = begin;
    std::size_t previous_end = begin;
    const auto close = [&] {
      if (!first) return;
      std::vector<std::size_t> cuts;
      split(*first, last, cuts);
      std::sort(cuts.begin(), cuts.end());
      std::size_t from = *first;
      cuts.push_back(last);
      for (const std::size_t cut : cuts) {
        if (peak(from, cut) >= counts_c) {
          Stretch stretch{.first = from, .last = cut, .hot_first = from, .hot_last = cut};
          stretch.first = from == *first ? back_to_cold(from, previous_end) : from;
          stretch.last = cut == last ? on_to_cold(cut, end) : cut;
          cycles_.push_back(stretch);
          previous_end = stretch.last + 1;
        }
        from = cut + 1;
      }
      first.reset();
    };
    for (std::size_t i = begin; i < end; ++i) {
      const double value = hottest_[i];
      if (std::isnan(value)) continue;
      if (value >= warm_c) {
        if (!first) first = i;
        last = i;
      } else if (value < cooled_c) {
        close();
      }
    }
    close();
  }

  double peak(std::size_t first, std::size_t last) const {
    double best = -std::numeric_limits<double>::infinity();
    for (std::size_t i = first; i <= last; ++i) {
      if (hottest_[i] > best) best = hottest_[i];
    }
    return best;
  }

  // A top that is kept, not a pulse.
  bool has_plateau(std::size_t first, std::size_t last, double valley) const {
    return peak(first, last) - valley >= valley_k && keeps_top(first, last);
  }

  bool keeps_top(std::size_t first, std::size_t last) const {
    const double top = peak(first, last);
    std::optional<std::size_t> begin;
    for (std::size_t i = first; i <= last; ++i) {
      if (std::isnan(hottest_[i])) continue;
      if (hottest_[i] < top - plateau_k) {
        begin.reset();
        continue;
      }
      if (!begin) begin = i;
      if (at(i) - at(*begin) >= plateau_s) return true;
    }
    return false;
  }

  // The lowest valley with a plateau on both sides parts two cycles; each side is looked at again.
  void split(std::size_t first, std::size_t last, std::vector<std::size_t>& cuts) const {
    if (last - first < 4 || cuts.size() >= 1000) return;
    std::vector<std::size_t> valleys;
    for (std::size_t i = first + 1; i < last; ++i) {
      if (hottest_[i] <= hottest_[i - 1] && hottest_[i] < hottest_[i + 1]) valleys.push_back(i);
    }
    std::stable_sort(valleys.begin(), valleys.end(),
                     [&](std::size_t a, std::size_t b) { return hottest_[a] < hottest_[b]; });
    const double top = peak(first, last);
    for (std::size_t i = 0; i < valleys.size() && i < 20; ++i) {
      const std::size_t valley = valleys[i];
      if (top - hottest_[valley] < valley_k) return;
      if (!has_plateau(first, valley, hottest_[valley]) || !has_plateau(valley, last, hottest_[valley])) continue;
      cuts.push_back(valley);
      split(first, valley, cuts);
      split(valley + 1, last, cuts);
      return;
    }
  }

  std::size_t back_to_cold(std::size_t from, std::size_t least) const {
    std::size_t lowest = from;
    for (std::size_t i = from; i-- > least;) {
      if (at(from) - at(i) > lead_s) break;
      if (std::isnan(hottest_[i])) continue;
      if (hottest_[i] > hottest_[lowest] + plateau_k) break;
      if (hottest_[i] < hottest_[lowest]) lowest = i;
      if (hottest_[i] < cold_c) break;
    }
    return lowest;
  }

  std::size_t on_to_cold(std::size_t from, std::size_t end) const {
    std::size_t lowest = from;
    for (std::size_t i = from + 1; i < end; ++i) {
      if (at(i) - at(from) > lead_s) break;
      if (std::isnan(hottest_[i])) continue;
      if (hottest_[i] > hottest_[lowest] + plateau_k) break;
      if (hottest_[i] < hottest_[lowest]) lowest = i;
      if (hottest_[i] < cold_c) break;
    }
    return lowest;
  }

  const Series& series_;
  std::vector<double> hottest_;
  std::vector<Stretch> cycles_;
};

}  // namespace

std::vector<Stretch> find_cycles(const Series& series) { return Cutter(series).run(); }

}  // namespace trayproof::judging
