// Which events can be late, and how late they were entered.
#pragma once

#include "report/gaps/facts.h"

namespace trayproof::gaps {

// Kinds that tell of something that happened, as a recorder gives them; what the program writes by itself is never
// late.
bool can_be_late(const events::Kind& kind);
// The device's time when it was typed, else the ledger's.
inline Instant entered_at(const Record& event) { return event.entered.value_or(event.recorded); }
// Back records that happened within 30 days before the ledger's creation count as late; older ones do not.
Told is_old_back_record(const Facts& facts, const Record& event);
// What happened before this is an old back record.
Instant back_records_end(const Facts& facts);

}  // namespace trayproof::gaps
