// Taking a parcel in. In one transaction the parcel is held against what is there of its ledger, every entry is checked
// and stored once, and the new state is co-signed. docs/register.md, "Taking in", is the authority.
//
// Nothing that is held is ever changed. A parcel that tells another past than the one held is kept as a line of its
// own, beside it, and is not co-signed: a witness says of a ledger one past only.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "ledger/base/time.h"
#include "report/parcel/arrived.h"
#include "report/register/past.h"
#include "report/register/postgres.h"
#include "report/register/witness_key.h"

namespace trayproof::registry {

enum class Outcome {
  taken,         // new entries
  repeated,      // this very state is held already
  older,         // a state before the one held, told before that
  rolled_back,   // a state before the one held, told after it
  restored,      // another past, which begins with the note of a restore: kept as a line, counted from now on
  forked,        // another past: kept as a line, not counted
  other_past,    // a past that parts from the held one before this parcel begins: its checkpoint is kept
  needs_before,  // entries before it are not here yet: nothing is taken
  refused,       // it does not hold: nothing is taken
};
std::string name_of(Outcome outcome);
// Whether what is held and what was told agree.
bool is_good(Outcome outcome);

struct Received {
  Outcome outcome = Outcome::refused;
  std::string ledger;
  std::string facility;  // by its entries; empty while nothing of it holds
  bool new_here = false;
  std::string vkey;        // of a ledger that is new here
  std::int64_t since = 0;  // of the parcel
  std::int64_t size = 0;
  std::int64_t held = 0;               // entries of the line that it went to, before
  std::int64_t entries = 0;            // new ones
  std::int64_t signatures = 0;         // checked
  std::optional<std::int64_t> parted;  // the first seq that is another than what is held
  std::optional<parcel::Wrong> wrong;  // of a refused one
  std::optional<std::string> answer;   // the register's newest co-signed checkpoint
  bool co_signed = false;              // it is of this very state
  bool apart = false;                  // of a state held already: beside the past that answers count
};

// Errors are of the machine or the database; whatever the parcel says is an outcome. Uncertain: the commit was sent and
// the register did not answer. Taking the same file in again is safe then, and always.
Result<Received> receive(Connection& connection, const parcel::Arrived& arrived, const WitnessKey& witness,
                         Instant now);

}  // namespace trayproof::registry
