// Stage 7b: from the stamps of a whole file to instants: in which order day and month stand, midnight, the hours that a
// zone skips and repeats. docs/import-reading.md is the authority.
//
// Where two orders fit, the file decides: by a day past 12, by its own run (an order under which the rows jump back, or
// leap by weeks where another gives even steps, is out), by a date in the preamble. Where it does not decide, it is asked.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "importer/reading/columns.h"
#include "importer/reading/outcome.h"
#include "importer/reading/stamps.h"
#include "ledger/base/zone.h"

namespace trayproof::reading {

// The time of one row as it was read; which members count depends on the form.
struct RowTime {
  RawDate date;
  std::int32_t clock_ms = -1;           // -1: the row has none
  std::int16_t offset_minutes = no_offset;
  bool has_date = false;
  double number = 0;
  static constexpr std::int16_t no_offset = INT16_MIN;
};

struct TimelineChoices {
  std::optional<DateOrder> order;
  Zone zone = Zone::utc();
  bool zone_said = false;               // the zone is the person's word, against which the file's own does not count
  std::optional<std::string> start;     // as said by the person; else the preamble's
};

struct Timeline {
  std::optional<DateOrder> order;
  std::vector<std::optional<Instant>> at;   // a row each; nothing where the stamp names no instant or no date is known
  std::vector<double> elapsed_s;            // since the first row; NaN where the row has no time
  bool dated = false;                       // instants are known
  std::optional<std::int16_t> offset_minutes;  // the file's own, from its header or preamble
  bool seconds = true;                      // the stamps show seconds
  std::optional<std::string> start_unread;  // a start was said that is no date-time
  std::vector<Ask> asks;
  std::vector<std::string> notes;
};

Timeline resolve(const std::vector<RowTime>& rows, const TimeColumns& columns, bool seconds,
                 const std::vector<Metadata>& metadata, const TimelineChoices& choices);

}  // namespace trayproof::reading
