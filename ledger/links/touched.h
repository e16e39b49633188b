// What the events taken in may have changed; only that is worked out again. A full derivation touches everything.
#pragma once

#include <algorithm>
#include <cstdint>
#include <map>
#include <set>
#include <string>
#include <utility>

namespace trayproof::links {

struct Touched {
  std::set<std::string> loads;
  std::set<std::string> packs;
  std::set<std::string> solutions;
  std::set<std::string> recalls;
  std::set<std::string> biologicals;
  std::set<std::string> lots;
  std::set<std::string> sets_defined;
  std::set<std::int64_t> curves;
  bool every_curve = false;
  // The stretch of time in which something happened to a set: its turns.
  struct Stretch {
    std::int64_t first_ms;
    std::int64_t last_ms;
  };
  std::map<std::string, Stretch> turns;
  // The earliest moment touched of a set's soaks in one solution.
  std::map<std::pair<std::string, std::string>, std::int64_t> soaks_from;

  void touch_turns(std::string set, std::int64_t first_ms, std::int64_t last_ms) {
    const auto [place, fresh] = turns.try_emplace(std::move(set), Stretch{first_ms, last_ms});
    if (fresh) return;
    place->second.first_ms = std::min(place->second.first_ms, first_ms);
    place->second.last_ms = std::max(place->second.last_ms, last_ms);
  }
  void touch_soaks(std::string set, std::string solution, std::int64_t ms) {
    const auto [place, fresh] = soaks_from.try_emplace({std::move(set), std::move(solution)}, ms);
    if (!fresh) place->second = std::min(place->second, ms);
  }
};

}  // namespace trayproof::links
