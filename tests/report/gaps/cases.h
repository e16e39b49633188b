// The case files of tests/cases/gaps: text in, text out. One file a rule; each case builds a real ledger in a folder of
// its own, records its events, derives the tables, asks for the rule and compares.
//
//   # comment                                what the file is about
//   rule soak-too-short
//   sop                                      an SOP for all cases, or for one when it stands inside it; up to `end`
//   …
//   end
//   prelude                                  event lines that every case begins with, up to `end`
//   …
//   end
//   case what it shows
//   created 2026-02-01T00:00:00Z             when the ledger was made; without it 2026-03-01T00:00+05:00
//   now 05T12:00                             the clock of what follows, the first one from the prelude on; without it
//                                            2026-03-31T00:00+05:00
//   altitude 2000                            of the facility; without it 0
//   {"kind":"soaked", …}                     one event; `by` is N1 without another
//   key Q1                                   gives the person a key of their own
//   signed Q1 {"kind":"packed", …}           one event that Q1 signs; `by` is Q1 without another
//   countersigned Q1 @last                   Q1's countersignature of that seq, whether it counts or not
//   program {"kind":"curve-measured", …}     one that only the program writes
//   curve
//   {"load":"L-1","equipment":"AC-1","from":"02T08:00","until":"02T09:00","method":"steam-gravity","verdict":"reached"}
//   period 01T00:00 05T00:00                 asks for that period only
//   expect 2 looked at, 1 gap, 0 cannot tell
//   gap set S-1 02T09:09                     and after it, where it matters: severity, state,
//                                            found:… and limit:… with _ for blanks
//
// `02T09:09` is 2026-03-02T09:09:00+05:00, in events and in expectations. `@last` is the seq of the event before,
// `@sop` that of the first edition, `@ledger` the ledger's id.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ledger/base/time.h"

namespace trayproof::tests {

struct GapStep {
  enum class What { event, program, curve, now, created, altitude, key, signed_by, countersigned };
  What what = What::event;
  std::string text;
  int line = 0;
};

struct ExpectedGap {
  std::string subject_kind;
  std::string subject_id;
  std::string at;
  std::vector<std::string> more;  // severity, state
  bool operator==(const ExpectedGap&) const = default;
};

struct GapCase {
  std::string rule;
  std::string name;
  std::string sop;
  std::vector<GapStep> steps;
  std::optional<Instant> from;
  std::optional<Instant> until;
  std::string expected;  // "2 looked at, 1 gap, 0 cannot tell"
  std::vector<ExpectedGap> gaps;
};

// With the shorthand for times spelt out.
std::string spelt_out(std::string text);
std::vector<GapCase> read_gap_cases(const std::string& path);

}  // namespace trayproof::tests
