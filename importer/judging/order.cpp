#include "importer/judging/order.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace trayproof::judging {
namespace {

class Orderer {
 public:
  Orderer(Series& series, const OrderRules& rules, OrderCounts& counts)
      : series_(series), rules_(rules), counts_(counts) {}

  void run() {
    if (rules_.spread) spread_minutes();
    if (rises()) return;
    drop_repeats();
    sort_neighbours();
    merge_equal_stamps();
  }

 private:
  bool rises() const {
    for (std::size_t i = 1; i < series_.samples.size(); ++i) {
      if (!(series_.samples[i].elapsed_s > series_.samples[i - 1].elapsed_s)) return false;
    }
    return true;
  }

  // Several rows a minute whose stamps show no seconds.
  void spread_minutes() {
    auto& samples = series_.samples;
    for (std::size_t i = 0; i < samples.size();) {
      std::size_t end = i;
      while (end < samples.size() && samples[end].elapsed_s == samples[i].elapsed_s) ++end;
      double width = 60;
      if (end < samples.size()) width = std::clamp(samples[end].elapsed_s - samples[i].elapsed_s, 0.0, 60.0);
      for (std::size_t k = i; k < end; ++k) {
        const double shift = width * static_cast<double>(k - i) / static_cast<double>(end - i);
        samples[k].elapsed_s += shift;
        if (samples[k].at) samples[k].at->ms += std::llround(shift * 1000);
      }
      i = end;
    }
  }

  static bool same_values(const Sample& a, const Sample& b) {
    const auto same = [](double x, double y) { return x == y || (std::isnan(x) && std::isnan(y)); };
    return same(a.pressure_kpa, b.pressure_kpa) && same(a.room_kpa, b.room_kpa) &&
           std::equal(a.temperature_c.begin(), a.temperature_c.end(), b.temperature_c.begin(), b.temperature_c.end(),
                      same);
  }

  // A row, or a whole block, that stands twice.
  void drop_repeats() {
    auto& samples = series_.samples;
    const auto before = [&](std::size_t a, std::size_t b) { return samples[a].elapsed_s < samples[b].elapsed_s; };
    std::vector<std::size_t> by_time(samples.size());
    for (std::size_t i = 0; i < by_time.size(); ++i) by_time[i] = i;
    std::stable_sort(by_time.begin(), by_time.end(), before);
    std::vector<bool> twice(samples.size(), false);
    std::size_t count = 0;
    for (std::size_t i = 0; i < by_time.size(); ++i) {
      for (std::size_t k = i + 1; k < by_time.size() && samples[by_time[k]].elapsed_s == samples[by_time[i]].elapsed_s;
           ++k) {
        if (twice[by_time[k]] || !same_values(samples[by_time[i]], samples[by_time[k]])) continue;
        twice[by_time[k]] = true;
        ++count;
      }
    }
    if (count == 0) return;
    std::size_t to = 0;
    for (std::size_t i = 0; i < samples.size(); ++i) {
      if (twice[i]) continue;
      if (to != i) samples[to] = std::move(samples[i]);
      ++to;
    }
    samples.resize(to);
    counts_.repeats += static_cast<std::int64_t>(count);
  }

  // A stamp a few steps back is a row out of its place; one far back is another clock, and nothing is put in order
  // then.
  void sort_neighbours() {
    auto& samples = series_.samples;
    std::set<std::int64_t> moved;
    for (std::size_t i = 1; i < samples.size(); ++i) {
      if (samples[i].elapsed_s >= samples[i - 1].elapsed_s) continue;
      if (counts_.backward++ == 0) counts_.backward_line = samples[i].line;
      if (samples[i - 1].elapsed_s - samples[i].elapsed_s > rules_.reach_s) continue;
      std::size_t place = i;
      while (place > 0 && samples[place - 1].elapsed_s > samples[i].elapsed_s && i - place < 64) --place;
      moved.insert(samples[i].line);
      std::rotate(samples.begin() + static_cast<std::ptrdiff_t>(place),
                  samples.begin() + static_cast<std::ptrdiff_t>(i),
                  samples.begin() + static_cast<std::ptrdiff_t>(i) + 1);
    }
    moved_ = std::move(moved);
  }

  // One stamp, two values: the colder counts, and the hold they lie in cannot be told.
  void merge_equal_stamps() {
    auto& samples = series_.samples;
    std::size_t to = 0;
    std::size_t count = 0;
    for (std::size_t i = 0; i < samples.size(); ++i) {
      if (to > 0 && samples[to - 1].elapsed_s == samples[i].elapsed_s) {
        bool differ = false;
        Sample& kept = samples[to - 1];
        for (std::size_t k = 0; k < kept.temperature_c.size(); ++k) {
          double& one = kept.temperature_c[k];
          const double other = samples[i].temperature_c[k];
          if (!std::isnan(one) && !std::isnan(other) && one != other) differ = true;
          if (std::isnan(one) || other < one) one = other;
        }
        if (std::isnan(kept.pressure_kpa)) {
          kept.pressure_kpa = samples[i].pressure_kpa;
          kept.room_kpa = samples[i].room_kpa;
          kept.pressure_kpa_abs = samples[i].pressure_kpa_abs;
        }
        if (differ) {
          ++count;
          if (series_.conflicts.empty() || series_.conflicts.back() != to - 1) series_.conflicts.push_back(to - 1);
        }
        continue;
      }
      if (to != i) samples[to] = std::move(samples[i]);
      if (moved_.contains(samples[to].line)) series_.backward.push_back(to);
      ++to;
    }
    samples.resize(to);
    counts_.conflicts += static_cast<std::int64_t>(count);
  }

  Series& series_;
  const OrderRules& rules_;
  OrderCounts& counts_;
  std::set<std::int64_t> moved_;  // lines of rows that were out of their place
};

}  // namespace

void put_in_order(Series& series, const OrderRules& rules, OrderCounts& counts) {
  Orderer(series, rules, counts).run();
}

}  // namespace trayproof::judging
