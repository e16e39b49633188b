// The limits of one edition of the facility's SOP. docs/sop-format.md is the authority on the file, this struct on what
// the program reads from it. Every limit is optional: one that is absent is not checked, and answers say so.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/result.h"
#include "ledger/base/time.h"

namespace trayproof::sop {

template <typename T>
using Limit = std::optional<T>;

enum class SoakMode { required, allowed, forbidden };
enum class TestRule { each_day, each_batch, none };
enum class RecallPolicy { at_once, repeat_first };

struct Decontamination {
  Limit<SoakMode> mode;
  Limit<double> percent;
  Limit<double> percent_tolerance;  // relative, for the recipe: 0.1 is a tenth of `percent`
  Limit<double> percent_min;        // for tests
  Limit<double> percent_max;
  Limit<double> soak_minutes_min;
  Limit<double> soak_minutes_max;
  Limit<double> life_hours;
  Limit<bool> test;
};

struct Disinfectant {
  std::string agent;
  Limit<double> percent_min;
  Limit<double> percent_max;
  Limit<double> temperature_c_min;
  Limit<double> disinfect_minutes;
  Limit<double> sterilize_hours;
  Limit<double> life_days;
  Limit<TestRule> test;
};

struct SteamProgram {
  double temperature_c = 0;
  Limit<double> band_k;
  Limit<double> hold_minutes_wrapped;
  Limit<double> hold_minutes_unwrapped;
  Limit<double> f0_min;
};

struct DryHeatPair {
  double temperature_c = 0;
  double minutes = 0;
};

// Shelf life of one wrap: a number of days, or until damaged (`days` absent, `until_damaged` true).
struct ShelfLife {
  Limit<double> days;
  bool until_damaged = false;
};

struct Sop {
  std::string title;
  std::string edition;
  std::string approved_by;
  bool confirmed = false;

  Decontamination decontamination;
  std::vector<Disinfectant> disinfectants;
  Limit<double> boiling_minutes;
  Limit<double> washer_a0_min;
  Limit<double> cleaning_hours_max;
  std::vector<std::string> cleaning_exempt_sets;     // prefixes
  Limit<std::vector<std::string>> inside_indicator;  // wraps that want one; absent = not checked

  Limit<double> steam_saturation_k;
  Limit<double> steam_pressure_slack_kpa;
  Limit<double> steam_f0_reference_c;
  Limit<double> steam_gap_seconds_max;
  std::vector<SteamProgram> steam_programs;
  std::vector<DryHeatPair> dry_heat_pairs;

  Limit<double> biological_days;
  Limit<double> biological_hours;
  Limit<std::vector<std::string>> biological_methods;  // methods that need it
  Limit<bool> air_removal;

  // Methods whose loads need a release. Default when the file says nothing.
  std::vector<std::string> release_methods = {"steam-gravity", "steam-prevacuum", "dry-heat", "chemical-sterilization"};
  Limit<std::vector<std::string>> release_roles;
  Limit<bool> release_second_person;
  Limit<double> release_cooling_minutes;
  Limit<double> release_hours_max;

  std::map<std::string, ShelfLife> shelf;  // by wrap
  Limit<double> shelf_disinfected_days;
  Limit<double> shelf_drum_open_hours;

  Limit<double> records_late_hours;
  Limit<double> records_very_late_hours;
  double records_clock_minutes = 5;
  Limit<double> records_burst_count;
  Limit<double> records_burst_minutes;
  Limit<double> records_burst_span_hours;
  Limit<double> records_unused_hours;
  Limit<double> records_alike_loads;
  Limit<double> records_reading_k;
  Limit<double> records_reading_minutes;
  Limit<double> records_correct_alone_hours;
  Limit<double> records_checkpoint_days;
  Limit<double> records_backup_days;

  RecallPolicy recall_policy = RecallPolicy::at_once;
  Limit<double> recall_hours_max;
  Limit<double> recall_days_max;
  Limit<double> recall_drill_months;

  const Disinfectant* disinfectant(std::string_view agent) const;
  // The program whose temperature is nearest to `temperature_c` and within its band of it; null when none is.
  const SteamProgram* program_for(double temperature_c) const;
  // Nearest by temperature whatever the band; null when the edition has no program.
  const SteamProgram* nearest_program(double temperature_c) const;
};

// Reads the TOML text. Invalid with line and column, what was found and what is allowed: an unknown key, a wrong type,
// a value outside its range, text that is no TOML 1.0.
Result<Sop> read(std::string_view toml);

// One adopted edition and when it judges.
struct Edition {
  std::int64_t seq = 0;  // of its sop-adopted
  Sop sop;
  Instant in_force;
  Instant recorded;
  Instant judges_from;     // the later of the two; the first edition covers all time before it as well
  bool backdated = false;  // put in force before it was recorded (the first edition excepted)
};

// The editions of a ledger in the order of their seq.
class Editions {
 public:
  void add(std::int64_t seq, Sop sop, Instant in_force, Instant recorded);
  bool empty() const { return editions_.empty(); }
  const std::vector<Edition>& all() const { return editions_; }
  // The edition in force at that instant: the one with the latest `judges_from` not after it, of equals the highest
  // seq; the first edition before all. Null only when the ledger has none.
  const Edition* at(Instant instant) const;

 private:
  std::vector<Edition> editions_;
};

}  // namespace trayproof::sop
