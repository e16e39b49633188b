// Biological readings: which of them prove something, and how far each load of a machine lies from the last one that
// did. docs/decisions/0092 says why an unread result is neither a test nor the lack of one.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "report/gaps/rule.h"

namespace trayproof::gaps {

// Whether a reading is void: no result, control without growth, lot expired, or read before its hours. Where one of the
// four cannot be told and none is a fault, neither can the whole.
struct Void {
  Told is = Told::no;
  std::string found;
  Seqs rests_on;  // beside the reading, what its first fault needs
};
Void void_of(const Facts& facts, const Biological& reading);

// Valid negative as docs/recall.md defines it.
Told valid_negative(const Facts& facts, const Biological& reading);

// The loads of one machine from one that had a valid biological (whatever its result) to the last before the next such
// load; the first stretch begins with the first load. Only loads of methods that the SOP in force wants tested.
struct BiologicalStretch {
  struct Of {
    const Run* run = nullptr;
    double days_asked = 0;
    Told late = Told::no;  // farther from the base than the days asked
  };
  const Run* base = nullptr;
  bool tested = false;    // the base had a valid biological; else nothing comes before, and the days count from it
  std::vector<Of> loads;  // by start, never empty; the base is the first of them
};
// Whether a load of a stretch ran within the days asked of a valid biological. Where nothing comes before it cannot be
// told, as long as the first load on record is not farther away than that.
Told within_days(const BiologicalStretch& stretch, const BiologicalStretch::Of& load);
std::vector<BiologicalStretch> biological_stretches(const Facts& facts, const Equipment& equipment);

}  // namespace trayproof::gaps
