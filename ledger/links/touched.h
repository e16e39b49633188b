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
  // The earliest moment from which something may have changed: of a set's turns, of a set's soaks in one solution.
  std::map<std::string, std::int64_t> turns_from;
  std::map<std::pair<std::string, std::string>, std::int64_t> soaks_from;

  template <typename Key>
  static void lower(std::map<Key, std::int64_t>& map, Key key, std::int64_t ms) {
    const auto [place, fresh] = map.try_emplace(std::move(key), ms);
    if (!fresh) place->second = std::min(place->second, ms);
  }
};

}  // namespace trayproof::links
