// From a bench logger's file to evidence: bytes and choices in, a reading with its cycles out. Pure: no ledger, no disk,
// no clock. What becomes of it (attachment, curve-measured, curve-placed, curve-judged) is `importer/evidence.h`'s part.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "ledger/base/bytes.h"
#include "ledger/base/time.h"
#include "ledger/base/zone.h"
#include "ledger/sop/sop.h"
#include "ledger/text/json.h"

namespace trayproof::importer {

// What the person said on the command line, where the file leaves a choice open. Each absent = decide from the file.
struct Choices {
  std::optional<std::string> encoding;     // "utf-8", "utf-16le", "utf-16be", "windows-1252"
  std::optional<std::string> delimiter;    // ",", ";", "tab", "|", "blanks"
  std::optional<std::string> decimal;      // "point", "comma"
  std::optional<std::string> date_order;   // "dmy", "mdy", "ymd"
  std::optional<std::string> zone;         // IANA name; default the facility's
  std::optional<std::string> start;        // date-time at which elapsed time is zero
  std::optional<std::string> pressure;     // "gauge", "absolute"
  std::vector<std::pair<std::string, std::string>> units;  // channel name, unit
  std::optional<std::string> profile;      // name of a saved profile, told in the reading
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
  bool any_wrapped = true;              // some pack is wrapped, drum, pouch, container or of unknown wrap
};

struct Surroundings {
  Zone zone = Zone::utc();              // the facility's
  std::optional<double> altitude_m;
  const sop::Editions* editions = nullptr;
  std::vector<KnownLoad> loads;         // on the equipment the file comes from
  std::optional<std::string> load;      // the load named by hand
  std::string equipment;
  std::string equipment_sort;           // as registered; empty when not known
  std::optional<double> accuracy_k;     // of the logger
};

struct Ask {
  std::string what;    // "date-order", "pressure", "unit", "decimal", "delimiter", "zone", …
  json::List choices;  // each {"value", and what the file would then say}
  std::string option;  // the option that answers it
};

struct RefusedRow {
  std::int64_t line = 0;
  std::string text;
  std::string why;
};

struct Finding {
  std::string what;
  json::Value limit;
  json::Value found;
};

struct Cycle {
  std::optional<std::string> load;
  std::string method;
  Instant from;                          // of the stretch of the file that holds it
  Instant until;
  std::size_t first_row = 0;             // index into Import::samples
  std::size_t last_row = 0;
  double interval_s = 0;
  std::int64_t sop_seq = 0;              // edition that judged
  json::Value judged;                    // hold, temperature_c, pressure_kpa_abs, saturation_difference_k, f0, f0_low, fh, a0
  std::string verdict;                   // "reached", "not-reached", "cannot-tell"
  std::vector<Finding> findings;
};

struct Channel {
  std::string name;
  std::string quantity;  // "temperature", "pressure", "humidity", "other"
  std::string unit;      // as the file gives it
  std::optional<double> min;
  std::optional<double> max;
  std::int64_t missing = 0;
};

// One row of the file in SI names: °C and kPa absolute; NaN where the row has none.
struct Sample {
  std::optional<Instant> at;
  double elapsed_s = 0;
  std::int64_t line = 0;
  std::vector<double> temperature_c;   // in the order of the temperature channels
  double pressure_kpa_abs = 0;         // NaN when there is no pressure channel
};

struct Import {
  std::vector<Ask> asks;               // not empty: nothing may be taken
  Digest file{};
  std::int64_t bytes = 0;
  json::Value reading;                 // the choices made, as in --json
  std::int64_t rows = 0;
  std::int64_t readings = 0;
  std::int64_t marks = 0;
  std::vector<RefusedRow> refused;
  std::vector<Channel> channels;
  std::optional<DateTime> from;
  std::optional<DateTime> until;
  std::optional<double> interval_s;
  std::vector<std::string> notes;      // said to the person: duplicate stamps, backward stamps, runner-up, …
  std::vector<Sample> samples;
  std::vector<Cycle> cycles;
};

Import read_and_judge(std::span<const std::uint8_t> bytes, const Choices& choices, const Surroundings& around);

// The document of `import curve --json` (importer.md). `repeated` is known only to the ledger.
json::Value to_json(const Import& import, bool repeated);

}  // namespace trayproof::importer
