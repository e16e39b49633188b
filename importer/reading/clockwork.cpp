#include "importer/reading/clockwork.h"

namespace trayproof::reading {

Instant Clockwork::at(std::int64_t day, std::int32_t clock_ms, std::int16_t offset_minutes) {
  const std::int64_t wall = day * day_ms + clock_ms;
  other_ms_ = 0;
  if (offset_minutes == no_offset && file_offset) offset_minutes = *file_offset;
  if (offset_minutes != no_offset) return Instant{wall - offset_minutes * minute_ms};
  // Zones change their clocks at full hours, so one look a wall-clock hour is enough.
  const std::int64_t hour = wall / hour_ms;
  if (hour != hour_) {
    hour_ = hour;
    offsets_ms_.clear();
    for (const Instant one : zone_.instants(civil_of({wall}, 0))) offsets_ms_.push_back(wall - one.ms);
    if (offsets_ms_.empty()) {
      skipped = true;
      offsets_ms_.push_back(zone_.offset_minutes({wall - day_ms}) * minute_ms);
    }
  }
  Instant found{wall - offsets_ms_.front()};
  if (offsets_ms_.size() > 1) {
    repeated = true;
    const Instant second{wall - offsets_ms_.back()};
    if (last_ && found < *last_)
      found = second;
    else
      other_ms_ = second.ms - found.ms;
  }
  last_ = found;
  return found;
}

}  // namespace trayproof::reading
