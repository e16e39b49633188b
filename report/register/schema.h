// The register's schema in PostgreSQL: numbered migrations, forward only, and two roles. `prepare` is for the owner of
// the database; who takes parcels in and who asks need no more than their role gives.
//
//   trayproof_writer   reads everything, adds rows; may empty and fill the derived tables
//   trayproof_reader   reads
#pragma once

#include <cstdint>
#include <string>

#include "report/register/postgres.h"

namespace trayproof::registry {

struct Prepared {
  std::int64_t applied = 0;   // migrations, now
  std::int64_t number = 0;    // of the newest
  bool derived_anew = false;  // the derived tables were made (again), and are empty
};
// In one transaction. Invalid: the database does not hold UTF-8, or is ahead of this program.
Result<Prepared> prepare(Connection& connection, Instant now);

// Invalid, with what to do, when the schema is not the one that this program knows.
Result<void> is_prepared(Connection& connection);

}  // namespace trayproof::registry
