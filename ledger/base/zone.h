// IANA time zones from the machine's own tzdata. Used for arithmetic on days and for printing, never for storing.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/result.h"
#include "ledger/base/time.h"

namespace trayproof {

class Zone {
 public:
  // Missing when the machine's tzdata has no zone of that name.
  static Result<Zone> find(std::string_view name);
  static Zone utc();

  const std::string& name() const { return name_; }
  // Minutes ahead of UTC at that instant.
  int offset_minutes(Instant at) const;
  CivilTime civil(Instant at) const;
  DateTime local(Instant at) const { return {at, offset_minutes(at)}; }
  // The instants that a wall clock showing `civil` may mean: none in the hour that is skipped, two in the hour that is
  // repeated, else one; in order of time.
  std::vector<Instant> instants(const CivilTime& civil) const;
  // The first instant of that day in this zone.
  Instant start_of(const CivilDate& date) const;

 private:
  std::string name_;
  const void* zone_ = nullptr;  // date::time_zone, owned by the zone database; null for UTC
};

}  // namespace trayproof
