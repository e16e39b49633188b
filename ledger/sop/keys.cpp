#include "ledger/sop/keys.h"

namespace trayproof::sop {
namespace {

constexpr std::string_view modes[] = {"required", "allowed", "forbidden"};
constexpr std::string_view test_rules[] = {"each-day", "each-batch", "none"};
constexpr std::string_view policies[] = {"at-once", "repeat-first"};
constexpr std::string_view agents[] = {"sodium-hypochlorite", "calcium-hypochlorite", "bleaching-powder",
                                       "glutaraldehyde",      "ortho-phthalaldehyde", "peracetic-acid",
                                       "hydrogen-peroxide"};
constexpr std::string_view wraps[] = {"wrapped", "unwrapped", "drum", "pouch", "container"};
constexpr std::string_view methods[] = {
    "steam-gravity",          "steam-prevacuum",       "dry-heat", "thermal-disinfection",
    "chemical-sterilization", "chemical-disinfection", "boiling",  "steaming"};
constexpr std::string_view roles[] = {"attendant",         "processor", "nurse",    "clerk",    "laboratory",
                                      "infection-control", "quality",   "engineer", "assessor", "steward"};

// Upper ends only keep out slips of the unit (minutes written as seconds, days as hours); they are no medical limits.
constexpr Range percent{0, 100, true};
constexpr Range minutes{0, 10080, true};
constexpr Range minutes_or_none{0, 10080, false};
constexpr Range hours{0, 87600, true};
constexpr Range hours_or_none{0, 87600, false};
constexpr Range days{0, 36500, true};
constexpr Range shelf_days{1, 36500, false};
constexpr Range kelvin{0, 50, true};
constexpr Range many{2, 100000, false};

SoakMode mode_of(const std::string& word) {
  if (word == "required") return SoakMode::required;
  return word == "allowed" ? SoakMode::allowed : SoakMode::forbidden;
}

TestRule test_rule_of(const std::string& word) {
  if (word == "each-day") return TestRule::each_day;
  return word == "each-batch" ? TestRule::each_batch : TestRule::none;
}

// "10" and "0.1" both mean a tenth of the target: no recipe is made to within 1 % of it, and one that may be off by the
// whole target is none, so the two spellings do not meet.
double tolerance_of(double number) { return number < 1 ? number : number / 100; }

void take_shelf(Sop& sop, const char* wrap, const Taken& taken) {
  ShelfLife& life = sop.shelf[wrap];
  life.until_damaged = !taken.text.empty();
  if (!life.until_damaged) life.days = taken.number;
}

using S = Sop;
using T = Taken;

// A key a line or two, so that the table can be read as one.
// clang-format off
constexpr Key all[] = {
    {"sop", "title", Sort::text, "", {}, {}, [](S& s, const T& t) { s.title = t.text; }},
    {"sop", "edition", Sort::text, "", {}, {}, [](S& s, const T& t) { s.edition = t.text; }},
    {"sop", "approved_by", Sort::id, "", {}, {}, [](S& s, const T& t) { s.approved_by = t.text; }},
    {"sop", "confirmed", Sort::yes_no, "", {}, {}, [](S& s, const T& t) { s.confirmed = t.yes; }},

    {"decontamination", "mode", Sort::word, "", {}, modes,
     [](S& s, const T& t) { s.decontamination.mode = mode_of(t.text); }},
    {"decontamination", "percent", Sort::number, "%", percent, {},
     [](S& s, const T& t) { s.decontamination.percent = t.number; }},
    {"decontamination", "percent_tolerance", Sort::number, "% of percent; below 1: the fraction", {0, 100, false}, {},
     [](S& s, const T& t) { s.decontamination.percent_tolerance = tolerance_of(t.number); }},
    {"decontamination", "percent_min", Sort::number, "%", percent, {},
     [](S& s, const T& t) { s.decontamination.percent_min = t.number; }},
    {"decontamination", "percent_max", Sort::number, "%", percent, {},
     [](S& s, const T& t) { s.decontamination.percent_max = t.number; }},
    {"decontamination", "soak_minutes_min", Sort::number, "min", minutes_or_none, {},
     [](S& s, const T& t) { s.decontamination.soak_minutes_min = t.number; }},
    {"decontamination", "soak_minutes_max", Sort::number, "min", minutes, {},
     [](S& s, const T& t) { s.decontamination.soak_minutes_max = t.number; }},
    {"decontamination", "life_hours", Sort::number, "h", hours, {},
     [](S& s, const T& t) { s.decontamination.life_hours = t.number; }},
    {"decontamination", "test", Sort::yes_no, "", {}, {},
     [](S& s, const T& t) { s.decontamination.test = t.yes; }},

    {"disinfectant", "agent", Sort::word, "", {}, agents,
     [](S& s, const T& t) { s.disinfectants.back().agent = t.text; }, true},
    {"disinfectant", "percent_min", Sort::number, "%", percent, {},
     [](S& s, const T& t) { s.disinfectants.back().percent_min = t.number; }},
    {"disinfectant", "percent_max", Sort::number, "%", percent, {},
     [](S& s, const T& t) { s.disinfectants.back().percent_max = t.number; }},
    {"disinfectant", "temperature_c_min", Sort::number, "°C", {0, 100, false}, {},
     [](S& s, const T& t) { s.disinfectants.back().temperature_c_min = t.number; }},
    {"disinfectant", "disinfect_minutes", Sort::number, "min", minutes, {},
     [](S& s, const T& t) { s.disinfectants.back().disinfect_minutes = t.number; }},
    {"disinfectant", "sterilize_hours", Sort::number, "h", hours, {},
     [](S& s, const T& t) { s.disinfectants.back().sterilize_hours = t.number; }},
    {"disinfectant", "life_days", Sort::number, "d", days, {},
     [](S& s, const T& t) { s.disinfectants.back().life_days = t.number; }},
    {"disinfectant", "test", Sort::word, "", {}, test_rules,
     [](S& s, const T& t) { s.disinfectants.back().test = test_rule_of(t.text); }},

    {"boiling", "minutes", Sort::number, "min", minutes, {}, [](S& s, const T& t) { s.boiling_minutes = t.number; }},
    {"washer", "a0_min", Sort::number, "s", {0, 100000, true}, {},
     [](S& s, const T& t) { s.washer_a0_min = t.number; }},
    {"cleaning", "hours_max", Sort::number, "h", hours, {}, [](S& s, const T& t) { s.cleaning_hours_max = t.number; }},
    {"cleaning", "exempt_sets", Sort::prefixes, "", {}, {},
     [](S& s, const T& t) { s.cleaning_exempt_sets = t.texts; }},
    {"packing", "inside_indicator", Sort::words, "", {}, wraps,
     [](S& s, const T& t) { s.inside_indicator = t.texts; }},

    {"steam", "saturation_k", Sort::number, "K", kelvin, {}, [](S& s, const T& t) { s.steam_saturation_k = t.number; }},
    {"steam", "pressure_slack_kpa", Sort::number, "kPa", {0, 100, false}, {},
     [](S& s, const T& t) { s.steam_pressure_slack_kpa = t.number; }},
    {"steam", "f0_reference_c", Sort::number, "°C", {120, 122, false}, {},
     [](S& s, const T& t) { s.steam_f0_reference_c = t.number; }},
    {"steam", "gap_seconds_max", Sort::number, "s", {0, 3600, true}, {},
     [](S& s, const T& t) { s.steam_gap_seconds_max = t.number; }},
    {"steam.program", "temperature_c", Sort::number, "°C", {100, 150, false}, {},
     [](S& s, const T& t) { s.steam_programs.back().temperature_c = t.number; }, true},
    {"steam.program", "band_k", Sort::number, "K", kelvin, {},
     [](S& s, const T& t) { s.steam_programs.back().band_k = t.number; }},
    {"steam.program", "hold_minutes_wrapped", Sort::number, "min", minutes, {},
     [](S& s, const T& t) { s.steam_programs.back().hold_minutes_wrapped = t.number; }},
    {"steam.program", "hold_minutes_unwrapped", Sort::number, "min", minutes, {},
     [](S& s, const T& t) { s.steam_programs.back().hold_minutes_unwrapped = t.number; }},
    {"steam.program", "f0_min", Sort::number, "min", {0, 10000, true}, {},
     [](S& s, const T& t) { s.steam_programs.back().f0_min = t.number; }},
    {"dry_heat.pair", "temperature_c", Sort::number, "°C", {100, 300, false}, {},
     [](S& s, const T& t) { s.dry_heat_pairs.back().temperature_c = t.number; }, true},
    {"dry_heat.pair", "minutes", Sort::number, "min", minutes, {},
     [](S& s, const T& t) { s.dry_heat_pairs.back().minutes = t.number; }, true},

    {"indicators", "biological_days", Sort::number, "d", days, {},
     [](S& s, const T& t) { s.biological_days = t.number; }},
    {"indicators", "biological_hours", Sort::number, "h", hours, {},
     [](S& s, const T& t) { s.biological_hours = t.number; }},
    {"indicators", "biological_methods", Sort::words, "", {}, methods,
     [](S& s, const T& t) { s.biological_methods = t.texts; }},
    {"indicators", "air_removal", Sort::yes_no, "", {}, {}, [](S& s, const T& t) { s.air_removal = t.yes; }},

    {"release", "methods", Sort::words, "", {}, methods, [](S& s, const T& t) { s.release_methods = t.texts; }},
    {"release", "roles", Sort::words, "", {}, roles, [](S& s, const T& t) { s.release_roles = t.texts; }},
    {"release", "second_person", Sort::yes_no, "", {}, {},
     [](S& s, const T& t) { s.release_second_person = t.yes; }},
    {"release", "cooling_minutes", Sort::number, "min", minutes_or_none, {},
     [](S& s, const T& t) { s.release_cooling_minutes = t.number; }},
    {"release", "hours_max", Sort::number, "h", hours, {}, [](S& s, const T& t) { s.release_hours_max = t.number; }},

    {"shelf", "days.wrapped", Sort::days, "d", shelf_days, {},
     [](S& s, const T& t) { take_shelf(s, "wrapped", t); }},
    {"shelf", "days.unwrapped", Sort::days, "d", shelf_days, {},
     [](S& s, const T& t) { take_shelf(s, "unwrapped", t); }},
    {"shelf", "days.drum", Sort::days, "d", shelf_days, {}, [](S& s, const T& t) { take_shelf(s, "drum", t); }},
    {"shelf", "days.pouch", Sort::days, "d", shelf_days, {}, [](S& s, const T& t) { take_shelf(s, "pouch", t); }},
    {"shelf", "days.container", Sort::days, "d", shelf_days, {},
     [](S& s, const T& t) { take_shelf(s, "container", t); }},
    {"shelf", "disinfected_days", Sort::number, "d", days, {},
     [](S& s, const T& t) { s.shelf_disinfected_days = t.number; }},
    {"shelf", "drum_open_hours", Sort::number, "h", hours, {},
     [](S& s, const T& t) { s.shelf_drum_open_hours = t.number; }},

    {"records", "late_hours", Sort::number, "h", hours_or_none, {},
     [](S& s, const T& t) { s.records_late_hours = t.number; }},
    {"records", "very_late_hours", Sort::number, "h", hours_or_none, {},
     [](S& s, const T& t) { s.records_very_late_hours = t.number; }},
    {"records", "clock_minutes", Sort::number, "min", minutes, {},
     [](S& s, const T& t) { s.records_clock_minutes = t.number; }},
    {"records", "burst_count", Sort::whole, "events", many, {},
     [](S& s, const T& t) { s.records_burst_count = t.number; }},
    {"records", "burst_minutes", Sort::number, "min", minutes, {},
     [](S& s, const T& t) { s.records_burst_minutes = t.number; }},
    {"records", "burst_span_hours", Sort::number, "h", hours_or_none, {},
     [](S& s, const T& t) { s.records_burst_span_hours = t.number; }},
    {"records", "unused_hours", Sort::number, "h", hours, {},
     [](S& s, const T& t) { s.records_unused_hours = t.number; }},
    {"records", "alike_loads", Sort::whole, "loads", many, {},
     [](S& s, const T& t) { s.records_alike_loads = t.number; }},
    {"records", "reading_k", Sort::number, "K", {0, 50, false}, {},
     [](S& s, const T& t) { s.records_reading_k = t.number; }},
    {"records", "reading_minutes", Sort::number, "min", minutes_or_none, {},
     [](S& s, const T& t) { s.records_reading_minutes = t.number; }},
    {"records", "correct_alone_hours", Sort::number, "h", hours_or_none, {},
     [](S& s, const T& t) { s.records_correct_alone_hours = t.number; }},
    {"records", "checkpoint_days", Sort::number, "d", days, {},
     [](S& s, const T& t) { s.records_checkpoint_days = t.number; }},
    {"records", "backup_days", Sort::number, "d", days, {},
     [](S& s, const T& t) { s.records_backup_days = t.number; }},

    {"recall", "policy", Sort::word, "", {}, policies,
     [](S& s, const T& t) {
       s.recall_policy = t.text == "repeat-first" ? RecallPolicy::repeat_first : RecallPolicy::at_once;
     }},
    {"recall", "hours_max", Sort::number, "h", hours_or_none, {},
     [](S& s, const T& t) { s.recall_hours_max = t.number; }},
    {"recall", "days_max", Sort::number, "d", {0, 36500, false}, {},
     [](S& s, const T& t) { s.recall_days_max = t.number; }},
    {"recall", "drill_months", Sort::whole, "months", {1, 1200, false}, {},
     [](S& s, const T& t) { s.recall_drill_months = t.number; }},
};
// clang-format on

constexpr Table all_tables[] = {
    {"sop", nullptr},
    {"decontamination", nullptr},
    {"disinfectant", [](Sop& s) { s.disinfectants.emplace_back(); }},
    {"boiling", nullptr},
    {"washer", nullptr},
    {"cleaning", nullptr},
    {"packing", nullptr},
    {"steam", nullptr},
    {"steam.program", [](Sop& s) { s.steam_programs.emplace_back(); }},
    {"dry_heat", nullptr},
    {"dry_heat.pair", [](Sop& s) { s.dry_heat_pairs.emplace_back(); }},
    {"indicators", nullptr},
    {"release", nullptr},
    {"shelf", nullptr},
    {"records", nullptr},
    {"recall", nullptr},
};

}  // namespace

std::span<const Key> keys() { return all; }
std::span<const Table> tables() { return all_tables; }

}  // namespace trayproof::sop
