#include "importer/judging/placement.h"

#include <algorithm>
#include <cmath>

namespace trayproof::judging {
namespace {

struct Interval {
  std::int64_t first = 0;
  std::int64_t last = 0;
};

std::optional<Interval> hot_part(const Series& series, const Stretch& cycle) {
  const auto& first = series.samples[cycle.hot_first].at;
  const auto& last = series.samples[cycle.hot_last].at;
  if (!first || !last) return std::nullopt;
  return Interval{first->ms, last->ms};
}

// From the first to the last reading within ten kelvins of the top: what must lie in the load's span wherever the
// operator draws its beginning and its end.
std::optional<Interval> top_part(const Series& series, const Stretch& cycle) {
  constexpr double near_top_k = 10;
  const auto hottest = [&](std::size_t i) {
    double best = -1000;
    for (std::size_t k = 0; k < series.in_load.size(); ++k) {
      if (series.in_load[k] && series.samples[i].temperature_c[k] > best) best = series.samples[i].temperature_c[k];
    }
    return best;
  };
  double top = -1000;
  for (std::size_t i = cycle.hot_first; i <= cycle.hot_last; ++i) top = std::max(top, hottest(i));
  std::optional<Interval> part;
  for (std::size_t i = cycle.hot_first; i <= cycle.hot_last; ++i) {
    if (!series.samples[i].at || hottest(i) < top - near_top_k) continue;
    if (!part) part = Interval{series.samples[i].at->ms, 0};
    part->last = series.samples[i].at->ms;
  }
  return part;
}

// A load whose end is not recorded lasts until the next begins on that equipment, at most half a day.
Interval span_of_load(const KnownLoad& load, const std::vector<KnownLoad>& all) {
  const std::int64_t first = load.started.earliest.ms;
  if (load.ended) return {first, load.ended->latest.ms};
  std::int64_t last = load.started.latest.ms + 12 * hour_ms;
  for (const KnownLoad& other : all) {
    if (other.equipment != load.equipment || other.load == load.load) continue;
    if (other.started.earliest.ms > load.started.latest.ms) last = std::min(last, other.started.earliest.ms);
  }
  return {first, last};
}

std::int64_t overlap(const Interval& a, const Interval& b) {
  return std::min(a.last, b.last) - std::max(a.first, b.first);
}

}  // namespace

const KnownLoad* place(const Series& series, const Stretch& cycle, std::size_t cycles, const Surroundings& around) {
  const auto hot = hot_part(series, cycle);
  const KnownLoad* best = nullptr;
  std::int64_t most = 0;
  for (const KnownLoad& load : around.loads) {
    if (around.load && load.load != *around.load) continue;
    if (!around.equipment.empty() && !load.equipment.empty() && load.equipment != around.equipment) continue;
    if (around.load && cycles == 1) return &load;
    if (!hot) continue;
    // One millisecond shared is enough: spans are closed.
    const std::int64_t shared = overlap(*hot, span_of_load(load, around.loads)) + 1;
    if (shared > most) {
      most = shared;
      best = &load;
    }
  }
  return best;
}

std::optional<double> clock_offset_s(const Series& series, const Stretch& cycle, const KnownLoad& load) {
  const auto hot = top_part(series, cycle);
  if (!hot || !load.ended) return std::nullopt;
  const Interval span{load.started.earliest.ms, load.ended->latest.ms};
  const std::int64_t early = span.first - hot->first;  // above zero: hot before the load began
  const std::int64_t late = hot->last - span.last;     // above zero: still hot after it ended
  if (early <= 0 && late <= 0) return 0;
  // It sticks out on both sides, or moving it would: the middles are compared.
  if (hot->last - hot->first >= span.last - span.first) {
    return static_cast<double>((hot->first + hot->last) - (span.first + span.last)) / 2000;
  }
  return static_cast<double>(early > 0 ? -early : late) / 1000;
}

}  // namespace trayproof::judging
