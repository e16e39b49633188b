// What a period touches, and everything that it hangs together with: the events within it (and so far before it that a
// deadline may fall into it), the packs, loads and solutions they name, and of each of these its own whole history.
// Worked out in the derived tables themselves, in tables that only this connection sees; docs/decisions/0060 says why
// this is enough for every rule.
//
//   near_events (kind: place among events::kinds(), origin)    near_packs (pack)    near_solutions (solution)
//   near_loads (load), of which near_core (load) with all their packs
#pragma once

#include <string>
#include <string_view>

#include "report/gaps/facts.h"

namespace trayproof::gaps {

class Near {
 public:
  // Everything is near.
  explicit Near(store::Database& tables) : tables_(&tables) {}
  // `facts` knows the editions and what it judges by. Without an end the period has none. The tables stand until
  // `forget`.
  static Result<Near> of_period(store::Database& tables, const Facts& facts, Instant from,
                                std::optional<Instant> until);
  Result<void> forget();

  bool is_all() const { return all_; }
  // The times between which events belong to the period.
  Instant from() const { return from_; }
  Instant until() const { return until_; }

  // Conditions for WHERE; empty when everything is near.
  std::string events(std::string_view kind) const;
  std::string packs() const { return all_ ? "" : "pack IN (SELECT pack FROM temp.near_packs)"; }
  std::string loads() const { return all_ ? "" : "load IN (SELECT load FROM temp.near_loads)"; }
  std::string solutions() const { return all_ ? "" : "solution IN (SELECT solution FROM temp.near_solutions)"; }
  std::string curves() const;

 private:
  Near(store::Database& tables, Instant from, Instant until)
      : tables_(&tables), all_(false), from_(from), until_(until) {}

  store::Database* tables_;
  bool all_ = true;
  Instant from_;
  Instant until_;
};

// Small registers, and what is looked for whatever the period.
bool is_read_whole(const events::Kind& kind);

}  // namespace trayproof::gaps
