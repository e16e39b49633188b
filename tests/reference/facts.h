// Second part of the reference: loads, packs, procedures and definitions as the effective events tell them.
//
// Nothing here decides who was reached; it only gathers what the events say about one thing.
#pragma once

#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/time.h"
#include "ledger/base/zone.h"
#include "ledger/sop/sop.h"
#include "tests/reference/effective_events.h"

namespace trayproof::reference {

struct Load {
  std::string id;
  std::optional<Moment> start;  // none when only other events name the load
  std::optional<Moment> end;    // of `load-ended`
  std::optional<std::string> equipment;
  std::string method;
  std::optional<std::string> solution;
  std::set<std::string> packs;
  bool complete = false;              // ended and complete
  bool operator_reading = false;      // temperature, pressure or hold on its end
  std::optional<Happening> decision;  // the latest one

  // "A load's end is `load-ended.at`; a load without one counts from its start."
  const std::optional<Moment>& counted_end() const { return end ? end : start; }
  bool holds(const std::string& pack) const { return packs.contains(pack); }
  bool rejected() const { return decision && decision->kind == "load-rejected"; }
};

struct Pack {
  std::string id;
  std::optional<std::string> set;
  std::optional<Moment> packing;  // `packed` or `pack-received`
  std::optional<std::string> indicator_lot;
  std::optional<std::string> wrap_lot;
  std::optional<std::string> received_lot;
  bool told_apart = true;
  bool implant = false;
};

struct Procedure {
  std::string id;
  std::int64_t seq = 0;
  Moment at;
  Moment use_time;
  std::vector<std::string> packs;
  Happening event;
};

struct Facts {
  Happenings events;  // the state asked about
  std::vector<Load> loads;
  std::vector<Pack> packs;
  std::vector<Procedure> procedures;
  sop::Editions editions;
  Zone zone = Zone::utc();

  const Load* load(std::string_view id) const;
  const Pack* pack(std::string_view id) const;
  const Procedure* procedure(std::string_view id) const;
  // "The ledger holds a subject when any event names it."
  bool holds(std::string_view thing, std::string_view id) const;
  // The definition of that id (`set-defined`, `supply-received`) that is in force at that instant; null when none is.
  const Happening* definition(std::string_view kind, std::string_view field, std::string_view id, Instant at) const;
};

Facts facts_of(const std::vector<Entry>& entries, std::int64_t known_at, Instant as_of);

}  // namespace trayproof::reference
