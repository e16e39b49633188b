// From a bench logger's file to evidence: bytes and choices in, a reading with its cycles out. Pure: no ledger, no
// disk, no clock. What becomes of it (attachment, curve-measured, curve-placed, curve-judged) is
// `importer/evidence.h`'s part. docs/import-reading.md is the authority.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "importer/coded_curves.h"
#include "importer/judging/measured.h"
#include "importer/judging/phases.h"
#include "importer/judging/sample.h"
#include "importer/judging/series.h"
#include "importer/reading/outcome.h"
#include "importer/reading/source.h"
#include "ledger/base/bytes.h"
#include "ledger/base/time.h"
#include "ledger/base/zone.h"
#include "ledger/sop/sop.h"
#include "ledger/text/json.h"

namespace trayproof::importer {

using judging::Check;
using judging::Cycle;
using judging::Finding;
using judging::KnownLoad;
using judging::Sample;
using judging::Surroundings;
using reading::Ask;
using reading::RefusedRow;

// What the person said on the command line, where the file leaves a choice open. Each absent = decide from the file.
struct Choices {
  std::optional<std::string> encoding;                     // "utf-8", "utf-16le", "utf-16be", "windows-1252"
  std::optional<std::string> delimiter;                    // ",", ";", "tab", "|", "blanks"
  std::optional<std::string> decimal;                      // "point", "comma"
  std::optional<std::string> date_order;                   // "dmy", "mdy", "ymd"
  std::optional<std::string> zone;                         // IANA name; default the facility's
  std::optional<std::string> start;                        // date-time at which elapsed time is zero
  std::optional<std::string> pressure;                     // "gauge", "absolute"
  std::vector<std::pair<std::string, std::string>> units;  // channel name, unit
  std::optional<std::string> profile;                      // name of a saved profile, told in the reading
  // The choices of a file that was kept: columns that nothing named stay left out, as they were when it was judged.
  bool as_kept = false;
};

// The first choice that names nothing known, as a sentence; nothing when all can be used. For a command to refuse
// before it reads a file: `read_and_judge` leaves such a choice out and says so in the notes.
std::optional<std::string> unknown_choice(const Choices& choices);

struct Channel {
  std::string name;
  std::string quantity;       // "temperature", "pressure", "humidity", "other"
  std::string unit;           // as the file gives it; empty when it gives none
  std::optional<double> min;  // in that unit
  std::optional<double> max;
  std::int64_t missing = 0;  // marks, faults and empty cells
};

struct Import {
  std::vector<Ask> asks;  // not empty: nothing may be taken
  Digest file{};
  std::int64_t bytes = 0;
  json::Value reading;    // the choices made, as in --json
  std::int64_t rows = 0;  // = readings + marks + refused.size() + refused_more
  std::int64_t readings = 0;
  std::int64_t marks = 0;
  std::vector<RefusedRow> refused;  // the first 20,000
  std::int64_t refused_more = 0;    // and how many follow
  std::vector<Channel> channels;
  std::optional<DateTime> from;  // nothing where the file has no date and no start was given
  std::optional<DateTime> until;
  std::optional<double> interval_s;
  std::vector<std::string> notes;         // said to the person: duplicate stamps, backward stamps, what decided, …
  std::vector<std::string> temperatures;  // names of the samples' temperatures, in their order
  std::vector<bool> in_load;              // of each: false where its name says that it stands beside the load
  std::string pressure;                   // name of the pressure channel that was used; empty when none was
  std::vector<Sample> samples;            // one a moment, repeats left out; only of a file read from memory
  std::vector<Cycle> cycles;
  // The SOP's limit, where a cycle has no pressure to be held against it.
  std::optional<double> saturation_unchecked_k;
  std::vector<judging::Coded> measured;  // each cycle as it is kept; only of a file read from memory
};

// Told while a file is read; each may be empty.
struct Listener {
  std::function<void()> begin;  // cycles begin, maybe anew: what was told before is void
  // A cycle with the samples around it; its rows are places in the series. `judging::coded` of series and stretch makes
  // what is kept of it.
  std::function<void(const judging::Series& series, const judging::Stretch& stretch, const Cycle& cycle)> cycle;
  std::function<void(std::int64_t bytes)> progress;  // how far the file is read
};

// In bounded memory; `file` and `bytes` of what is returned are the caller's to fill. Fails only where the source does.
Result<Import> read_and_judge(reading::Source& source, const Choices& choices, const Surroundings& around,
                              const Listener& listener);
// The same with its hash and size; `curves` holds afterwards what is kept of each cycle, and nothing while a question
// is open.
Result<Import> read_and_judge(reading::Source& source, const Choices& choices, const Surroundings& around,
                              const Listener& listener, CodedCurves& curves);
// Of a file that lies in memory; keeps its samples, in which the cycles' rows are places.
Import read_and_judge(std::span<const std::uint8_t> bytes, const Choices& choices, const Surroundings& around);

// The sentence of a finding, for people.
std::string sentence(const Finding& finding);
// That saturation was not checked against that limit.
std::string saturation_unchecked(double limit_k);

}  // namespace trayproof::importer
