#include "ledger/sop/compare.h"

#include <algorithm>
#include <map>
#include <set>

#include "ledger/base/number.h"
#include "ledger/sop/stated.h"

namespace trayproof::sop {
namespace {

// Which way a limit is stricter.
enum class Stricter {
  higher,
  lower,
  yes,      // true is stricter than false
  more,     // a list that names more
  fewer,    // a list that names less
  in_order  // the words of the key stand from strict to loose
};

struct Way {
  std::string_view key;
  Stricter stricter;
};

// Every limit that has a stricter way; the others (a target strength, soak first or not) are only different. A higher
// reference of F0 gives less F0 for the same heat.
constexpr Way ways[] = {
    {"decontamination.percent_tolerance", Stricter::lower},
    {"decontamination.percent_min", Stricter::higher},
    {"decontamination.percent_max", Stricter::lower},
    {"decontamination.soak_minutes_min", Stricter::higher},
    {"decontamination.soak_minutes_max", Stricter::lower},
    {"decontamination.life_hours", Stricter::lower},
    {"decontamination.test", Stricter::yes},
    {"disinfectant.percent_min", Stricter::higher},
    {"disinfectant.percent_max", Stricter::lower},
    {"disinfectant.temperature_c_min", Stricter::higher},
    {"disinfectant.disinfect_minutes", Stricter::higher},
    {"disinfectant.sterilize_hours", Stricter::higher},
    {"disinfectant.life_days", Stricter::lower},
    {"disinfectant.test", Stricter::in_order},
    {"boiling.minutes", Stricter::higher},
    {"washer.a0_min", Stricter::higher},
    {"cleaning.hours_max", Stricter::lower},
    {"cleaning.exempt_sets", Stricter::fewer},
    {"packing.inside_indicator", Stricter::more},
    {"steam.saturation_k", Stricter::lower},
    {"steam.pressure_slack_kpa", Stricter::lower},
    {"steam.f0_reference_c", Stricter::higher},
    {"steam.gap_seconds_max", Stricter::lower},
    {"steam.program.band_k", Stricter::lower},
    {"steam.program.hold_minutes_wrapped", Stricter::higher},
    {"steam.program.hold_minutes_unwrapped", Stricter::higher},
    {"steam.program.f0_min", Stricter::higher},
    {"dry_heat.pair.minutes", Stricter::higher},
    {"indicators.biological_days", Stricter::lower},
    {"indicators.biological_hours", Stricter::higher},
    {"indicators.biological_methods", Stricter::more},
    {"indicators.air_removal", Stricter::yes},
    {"release.methods", Stricter::more},
    {"release.roles", Stricter::fewer},
    {"release.second_person", Stricter::yes},
    {"release.cooling_minutes", Stricter::higher},
    {"release.hours_max", Stricter::lower},
    {"shelf.days.wrapped", Stricter::lower},
    {"shelf.days.unwrapped", Stricter::lower},
    {"shelf.days.drum", Stricter::lower},
    {"shelf.days.pouch", Stricter::lower},
    {"shelf.days.container", Stricter::lower},
    {"shelf.disinfected_days", Stricter::lower},
    {"shelf.drum_open_hours", Stricter::lower},
    {"records.late_hours", Stricter::lower},
    {"records.very_late_hours", Stricter::lower},
    {"records.clock_minutes", Stricter::lower},
    {"records.burst_count", Stricter::lower},
    {"records.burst_minutes", Stricter::higher},
    {"records.burst_span_hours", Stricter::lower},
    {"records.unused_hours", Stricter::lower},
    {"records.alike_loads", Stricter::lower},
    {"records.reading_k", Stricter::lower},
    {"records.reading_minutes", Stricter::lower},
    {"records.correct_alone_hours", Stricter::lower},
    {"records.checkpoint_days", Stricter::lower},
    {"records.backup_days", Stricter::lower},
    {"recall.policy", Stricter::in_order},
    {"recall.hours_max", Stricter::lower},
    {"recall.days_max", Stricter::lower},
    {"recall.drill_months", Stricter::lower},
};

std::string plain_name(const Key& key) { return std::string(key.table) + "." + std::string(key.name); }

std::optional<Stricter> way_of(const Key& key) {
  const std::string name = plain_name(key);
  for (const Way& one : ways) {
    if (one.key == name) return one.stricter;
  }
  return std::nullopt;
}

std::set<std::string> words_of(const std::string& list) {
  std::set<std::string> words;
  for (std::size_t at = 0; at < list.size();) {
    const std::size_t comma = std::min(list.find(", ", at), list.size());
    words.insert(list.substr(at, comma - at));
    at = comma + 2;
  }
  return words;
}

// Where `after` stands against `before`: above 0 is stricter, below 0 looser, 0 neither.
int by_number(const std::string& before, const std::string& after, bool higher) {
  // "until-damaged" is longer than any number of days.
  constexpr double for_ever = 1e18;
  const double a = parse_number(before).value_or(for_ever);
  const double b = parse_number(after).value_or(for_ever);
  if (a == b) return 0;
  return (b > a) == higher ? 1 : -1;
}

int by_list(const std::string& before, const std::string& after, bool more) {
  const auto a = words_of(before);
  const auto b = words_of(after);
  const bool grown = std::includes(b.begin(), b.end(), a.begin(), a.end());
  const bool shrunk = std::includes(a.begin(), a.end(), b.begin(), b.end());
  if (grown == shrunk) return 0;  // neither holds the other
  return grown == more ? 1 : -1;
}

int by_order(const Key& key, const std::string& before, const std::string& after) {
  const auto place = [&](const std::string& word) { return std::find(key.words.begin(), key.words.end(), word); };
  return place(after) < place(before) ? 1 : -1;
}

Direction direction_of(const Key& key, const std::optional<std::string>& before,
                       const std::optional<std::string>& after) {
  const auto way = way_of(key);
  if (!way) return Direction::different;
  // A limit that stands nowhere is not checked. Who is exempt and who may release are the other way round.
  if (!before || !after) {
    const bool checked_now = after.has_value();
    const bool more_is_checked = key.table == "cleaning" && key.name == "exempt_sets" ? !checked_now : checked_now;
    return more_is_checked ? Direction::stricter : Direction::looser;
  }
  int sign = 0;
  switch (*way) {
    case Stricter::higher:
    case Stricter::lower:
      sign = by_number(*before, *after, *way == Stricter::higher);
      break;
    case Stricter::yes:
      sign = *after == "true" ? 1 : -1;
      break;
    case Stricter::more:
    case Stricter::fewer:
      sign = by_list(*before, *after, *way == Stricter::more);
      break;
    case Stricter::in_order:
      sign = by_order(key, *before, *after);
      break;
  }
  return sign > 0 ? Direction::stricter : sign < 0 ? Direction::looser : Direction::different;
}

// The value of each limit by its place in the table of keys and by what names its element.
using Limits = std::map<std::pair<std::size_t, std::string>, std::string>;

// What names an element: its required key that comes first in the table.
std::string name_of_element(const std::vector<Stated>& all, const Stated& one) {
  if (one.element == 0) return {};
  for (const Stated& other : all) {
    if (other.element == one.element && other.key->table == one.key->table && other.key->required &&
        (other.key->name == "agent" || other.key->name == "temperature_c"))
      return other.value;
  }
  return std::to_string(one.element);
}

Result<Limits> limits_of(std::string_view text) {
  TRY_LET(const auto all, stated(text));
  Limits out;
  const auto place = [](const Key& key) { return static_cast<std::size_t>(&key - keys().data()); };
  for (const Stated& one : all) {
    if (one.key->table != "sop") out[{place(*one.key), name_of_element(all, one)}] = one.value;
  }
  for (const Key& key : keys()) {
    if (const auto usual = default_of(key)) out.try_emplace({place(key), std::string()}, *usual);
  }
  return out;
}

std::string shown_name(const Key& key, const std::string& element) {
  if (element.empty()) return plain_name(key);
  return std::string(key.table) + " " + element + " " + std::string(key.name);
}

// "wrapped, drum" and "drum, wrapped" name the same.
bool alike(const Key& key, const std::string& a, const std::string& b) {
  return key.sort == Sort::words || key.sort == Sort::prefixes ? words_of(a) == words_of(b) : a == b;
}

}  // namespace

std::string_view word(Direction direction) {
  switch (direction) {
    case Direction::stricter:
      return "stricter";
    case Direction::looser:
      return "looser";
    case Direction::different:
      return "different";
  }
  return "different";
}

Result<Comparison> compare(std::string_view before, std::string_view after) {
  TRY_LET(const Limits old_limits, limits_of(before));
  TRY_LET(const Limits new_limits, limits_of(after));
  std::set<Limits::key_type> all;
  for (const auto* limits : {&old_limits, &new_limits}) {
    for (const auto& [place, value] : *limits) all.insert(place);
  }
  Comparison out;
  for (const auto& place : all) {
    const Key& key = keys()[place.first];
    const auto was = old_limits.find(place);
    const auto is = new_limits.find(place);
    const auto value = [](const Limits& limits, Limits::const_iterator found) {
      return found == limits.end() ? std::nullopt : std::optional(found->second);
    };
    Change change{.key = shown_name(key, place.second),
                  .before = value(old_limits, was),
                  .after = value(new_limits, is),
                  .direction = Direction::different};
    if (change.before && change.after && alike(key, *change.before, *change.after)) {
      ++out.same;
      continue;
    }
    change.direction = direction_of(key, change.before, change.after);
    // One more pair is one more way to pass.
    if (key.table == "dry_heat.pair" && (!change.before || !change.after))
      change.direction = change.after ? Direction::looser : Direction::stricter;
    // What names an element says nothing by itself.
    if (key.required && key.table != "dry_heat.pair") change.direction = Direction::different;
    out.changes.push_back(std::move(change));
  }
  return out;
}

}  // namespace trayproof::sop
