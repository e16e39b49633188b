// Stage 7d: when a file without dates in its rows began: as the person said, else as its preamble says.
// docs/import-reading.md is the authority.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "importer/reading/columns.h"
#include "importer/reading/outcome.h"
#include "importer/reading/stamps.h"
#include "ledger/base/zone.h"

namespace trayproof::reading {

struct TimelineChoices {
  std::optional<DateOrder> order;
  Zone zone = Zone::utc();
  bool zone_said = false;            // the zone is the person's word, against which the file's own does not count
  bool as_kept = false;              // of a file that was kept: what was not asked then is not asked now
  std::optional<std::string> start;  // as said by the person; else the preamble's
};

struct Start {
  std::optional<CivilTime> civil;
  std::optional<int> offset_minutes;  // written beside it
  std::optional<std::string> unread;  // a start was said that is no date-time
  std::optional<DateOrder> order;     // in which its date was read
  std::vector<Ask> asks;

  bool same_as(const Start& other) const { return civil == other.civil && offset_minutes == other.offset_minutes; }
};
Start find_start(TimeForm form, const TimelineChoices& choices, const std::vector<Metadata>& metadata);

// A line above rows that says on which day they were taken: "Date", "Start", and not "Export date".
bool names_day(std::string_view key);

// "Date Time, GMT+03:00" in the header, "Time zone: UTC+3" above it.
std::optional<std::int16_t> named_offset(std::string_view time_column, const std::vector<Metadata>& metadata);

}  // namespace trayproof::reading
