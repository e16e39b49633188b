// What a few rules ask of the whole record, whatever the period, read as narrowly as they ask: the loads of each
// machine, when whose events were entered, which ids look alike, and what was marked as not known.
#pragma once

#include "report/gaps/near.h"

namespace trayproof::gaps {

// After everything else, and with the facility's zone known.
Result<void> read_narrow(store::Database& tables, Facts& facts, const Near& near);

}  // namespace trayproof::gaps
