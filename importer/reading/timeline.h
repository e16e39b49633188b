// Stage 7: from the stamps of a whole file to instants: date order, zone, midnight, elapsed time and its start.
// docs/import-reading.md is the authority.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "importer/reading/columns.h"
#include "importer/reading/date_order.h"
#include "importer/reading/outcome.h"
#include "importer/reading/stamps.h"
#include "ledger/base/zone.h"

namespace trayproof::reading {

struct TimelineChoices {
  std::optional<DateOrder> order;
  Zone zone = Zone::utc();
  bool zone_said = false;            // the zone is the person's word, against which the file's own does not count
  std::optional<std::string> start;  // as said by the person; else the preamble's
};

struct Timeline {
  std::optional<DateOrder> order;
  std::vector<std::optional<Instant>> at;  // a row each; nothing where the stamp names no instant or no date is known
  std::vector<double> elapsed_s;           // since the first row; NaN where the row has no time
  bool dated = false;                      // instants are known
  std::optional<std::int16_t> offset_minutes;  // the file's own, from its header or preamble
  bool seconds = true;                         // the stamps show seconds
  std::optional<std::string> start_unread;     // a start was said that is no date-time
  std::vector<Ask> asks;
  std::vector<std::string> notes;
};

Timeline resolve(const std::vector<RowTime>& rows, const TimeColumns& columns, bool seconds,
                 const std::vector<Metadata>& metadata, const TimelineChoices& choices);

}  // namespace trayproof::reading
