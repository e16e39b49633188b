#include "ledger/base/zone.h"

#include <date/tz.h>

#include <algorithm>
#include <exception>

namespace trayproof {
namespace {

const date::time_zone* tz(const void* zone) { return static_cast<const date::time_zone*>(zone); }

date::local_time<std::chrono::milliseconds> local_of(const CivilTime& civil) {
  return date::local_time<std::chrono::milliseconds>(std::chrono::milliseconds(instant_of(civil, 0).ms));
}

int minutes(std::chrono::seconds offset) { return static_cast<int>(offset.count() / 60); }

}  // namespace

Result<Zone> Zone::find(std::string_view name) {
  if (name == "UTC" || name == "Etc/UTC") {
    Zone zone = utc();
    zone.name_ = std::string(name);
    return zone;
  }
  try {
    Zone zone;
    zone.name_ = std::string(name);
    zone.zone_ = date::locate_zone(zone.name_);
    return zone;
  } catch (const std::exception&) {  // the library's only way to say that it knows no such zone
    return Error(ErrorCode::missing, std::string(name));
  }
}

Zone Zone::utc() {
  Zone zone;
  zone.name_ = "UTC";
  return zone;
}

int Zone::offset_minutes(Instant at) const {
  if (zone_ == nullptr) return 0;
  const date::sys_time<std::chrono::milliseconds> time{std::chrono::milliseconds(at.ms)};
  return minutes(tz(zone_)->get_info(time).offset);
}

CivilTime Zone::civil(Instant at) const { return civil_of(at, offset_minutes(at)); }

std::vector<Instant> Zone::instants(const CivilTime& civil) const {
  if (zone_ == nullptr) return {instant_of(civil, 0)};
  const date::local_info info = tz(zone_)->get_info(local_of(civil));
  switch (info.result) {
    case date::local_info::nonexistent: return {};
    case date::local_info::ambiguous:
      return {instant_of(civil, minutes(info.first.offset)), instant_of(civil, minutes(info.second.offset))};
    default: return {instant_of(civil, minutes(info.first.offset))};
  }
}

Instant Zone::start_of(const CivilDate& date) const {
  CivilTime civil{.date = date};
  // Some zones change their clocks at midnight: the day then begins at the first minute that exists.
  for (int minute = 0; minute < 24 * 60; ++minute) {
    civil.hour = minute / 60;
    civil.minute = minute % 60;
    const auto found = instants(civil);
    if (!found.empty()) return found.front();
  }
  return instant_of(CivilTime{.date = date}, 0);
}

}  // namespace trayproof
