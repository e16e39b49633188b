// Which corrections changed the list of a recall after it had been opened. The lists are worked out again as they were
// known before and after; only corrections that name something of a list, or of the recall's subject, are looked at.
#pragma once

#include "ledger/links/links.h"
#include "report/gaps/near.h"

namespace trayproof::gaps {

Result<void> read_recall_changes(store::Database& tables, Facts& facts, const Near& near, const RecallAgain& again);

// Works lists out from the ledger itself. Both must outlive what is returned.
RecallAgain recall_again(const Ledger& ledger, links::Links& tables);

}  // namespace trayproof::gaps
