#include "importer/judging/repeats.h"

#include <algorithm>
#include <bit>
#include <cmath>

namespace trayproof::judging {
namespace {

constexpr std::size_t runs_max = 4096;
constexpr std::size_t slots = std::size_t{1} << 21;
constexpr std::size_t filled_max = 1'500'000;

// The mixing step of splitmix64 (Steele, Lea, Flood 2014).
std::uint64_t mixed(std::uint64_t value) {
  value += 0x9E3779B97F4A7C15ULL;
  value = (value ^ (value >> 30U)) * 0xBF58476D1CE4E5B9ULL;
  value = (value ^ (value >> 27U)) * 0x94D049BB133111EBULL;
  return value ^ (value >> 31U);
}

std::uint64_t bits(double value) {
  if (std::isnan(value)) return 1;
  return std::bit_cast<std::uint64_t>(value == 0 ? 0.0 : value);
}

}  // namespace

void Runs::begin(double at_s) {
  if (runs_.size() < runs_max)
    runs_.push_back({at_s, at_s});
  else
    extend(at_s);
}

void Runs::extend(double at_s) {
  if (runs_.empty()) return begin(at_s);
  runs_.back().from_s = std::min(runs_.back().from_s, at_s);
  runs_.back().until_s = std::max(runs_.back().until_s, at_s);
}

std::vector<Passage> Runs::passed_twice() const {
  std::vector<Passage> sorted = runs_;
  std::sort(sorted.begin(), sorted.end(), [](const Passage& a, const Passage& b) { return a.from_s < b.from_s; });
  std::vector<Passage> out;
  double reached_s = 0;
  for (std::size_t i = 0; i < sorted.size(); ++i) {
    if (i > 0 && sorted[i].from_s <= reached_s) {
      const double until_s = std::min(reached_s, sorted[i].until_s);
      if (!out.empty() && sorted[i].from_s <= out.back().until_s)
        out.back().until_s = std::max(out.back().until_s, until_s);
      else
        out.push_back({sorted[i].from_s, until_s});
    }
    reached_s = i == 0 ? sorted[i].until_s : std::max(reached_s, sorted[i].until_s);
  }
  return out;
}

bool SeenRows::watches(double at_s) const {
  const auto after = std::upper_bound(times_.begin(), times_.end(), at_s,
                                      [](double at, const Passage& one) { return at < one.from_s; });
  return after != times_.begin() && at_s <= std::prev(after)->until_s;
}

bool SeenRows::seen(const Sample& sample, std::int64_t place) {
  std::uint64_t digest = mixed(bits(sample.elapsed_s) + static_cast<std::uint64_t>(place));
  digest = mixed(digest ^ bits(sample.pressure_kpa));
  digest = mixed(digest ^ bits(sample.room_kpa));
  for (const double value : sample.temperature_c) digest = mixed(digest ^ bits(value));
  return insert(digest == 0 ? 1 : digest);
}

bool SeenRows::insert(std::uint64_t digest) {
  if (slots_.empty()) slots_.assign(slots, 0);
  for (std::size_t at = digest & (slots - 1);; at = (at + 1) & (slots - 1)) {
    if (slots_[at] == digest) return true;
    if (slots_[at] != 0) continue;
    full_ = filled_ >= filled_max;
    if (full_) return false;
    slots_[at] = digest;
    ++filled_;
    return false;
  }
}

}  // namespace trayproof::judging
