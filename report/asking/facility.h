// The facility as last described, and moments as people give them: in its zone.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "ledger/base/zone.h"
#include "ledger/ledger.h"

namespace trayproof {

struct Facility {
  std::string title;
  Zone zone = Zone::utc();  // UTC when none is described
  std::optional<double> altitude_m;
};
Result<Facility> facility_of(const Ledger& ledger);

// "2026-11-03T08:00+05:00", or a date alone: its first or last moment in the facility's zone.
enum class DateMeans { start, end };
std::optional<Instant> parse_moment(std::string_view text, const Zone& zone, DateMeans means);

// What a browser's field gives, "2026-10-29T08:10" by the clock on the wall: the first moment that it can mean. Nothing
// in the hour that is skipped, and for anything else.
std::optional<Instant> parse_wall_clock(std::string_view text, const Zone& zone);

// "2026-10-14 08:10"
std::string short_time(const Zone& zone, Instant at);

}  // namespace trayproof
