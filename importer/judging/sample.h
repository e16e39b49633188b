// What judging works on and what it gives, as plain data. docs/import-reading.md is the authority on each word.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/time.h"
#include "ledger/base/zone.h"
#include "ledger/sop/sop.h"
#include "ledger/text/json.h"

namespace trayproof::judging {

// One row of the file in SI names: °C and kPa absolute; NaN where the row has none.
struct Sample {
  std::optional<Instant> at;  // nothing in a file without a date
  double elapsed_s = 0;
  std::int64_t line = 0;
  std::vector<double> temperature_c;  // in the order of the temperature channels
  double pressure_kpa = 0;            // as the logger measures it, gauge or absolute; NaN when there is no channel
  double room_kpa = 0;                // by a barometer in the file; NaN without one
  double pressure_kpa_abs = 0;        // NaN where it cannot be told
};

// A load of the ledger that a curve may belong to.
struct KnownLoad {
  std::string load;
  std::string method;
  std::string equipment;
  Span started;
  std::optional<Span> ended;
  std::optional<double> temperature_c;  // the programme's
  std::optional<double> hold_min;
  bool any_wrapped = true;  // some pack is wrapped, drum, pouch, container or of unknown wrap
};

struct Surroundings {
  Zone zone = Zone::utc();  // the facility's
  std::optional<double> altitude_m;
  const sop::Editions* editions = nullptr;
  std::vector<KnownLoad> loads;     // on the equipment the file comes from
  std::optional<std::string> load;  // the load named by hand
  std::string equipment;
  std::string equipment_sort;        // as registered; empty when not known
  std::optional<double> accuracy_k;  // of the logger
  std::optional<double> error_k;     // the logger reads this much too high; taken off before judging
};

struct Finding {
  std::string what;  // one of findings.h
  json::Value limit;
  json::Value found;
};

// A limit that was checked, kept or not.
struct Check {
  std::string what;
  double limit = 0;
  double found = 0;
  double margin = 0;  // below zero where the limit is not kept
};

struct ToldPhase {
  std::string_view what;         // as in course.h
  std::optional<DateTime> from;  // nothing without a date
  std::optional<DateTime> until;
  double minutes = 0;
};

struct Cycle {
  std::optional<std::string> load;
  std::string method;
  std::optional<Instant> from;  // of the stretch of the file that holds it; nothing without a date
  std::optional<Instant> until;
  std::size_t first_row = 0;  // index into the samples
  std::size_t last_row = 0;
  double interval_s = 0;
  std::optional<double> clock_offset_s;  // logger minus wall clock, where the load's times show one
  std::int64_t sop_seq = 0;              // edition that judged; 0 when none
  std::optional<double> set_temperature_c;
  std::optional<double> band_k;               // of the SOP's program, above the set temperature
  std::optional<std::size_t> hold_first_row;  // index into the samples
  std::optional<std::size_t> hold_last_row;
  std::optional<double> hold_interpolated_min;  // from crossing to crossing of the set temperature
  std::optional<double> f0_reference_c;
  std::optional<double> saturation_unchecked_k;  // the SOP's limit, where the file has no pressure to check it by
  json::Value band;  // lethality with every reading off by the logger's accuracy; null when not known
  std::vector<ToldPhase> phases;
  std::int64_t pulses = 0;  // of the air removal
  json::Value judged;       // hold, temperature_c, pressure_kpa_abs, saturation_difference_k, f0, f0_low, fh, a0
  std::string verdict;      // "reached", "not-reached", "cannot-tell"
  std::vector<Check> checks;
  std::vector<Finding> findings;
};

}  // namespace trayproof::judging
