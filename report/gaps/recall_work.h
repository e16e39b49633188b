// What opened recalls still ask for, by their lists as they are now (docs/recall.md, "As work").
#pragma once

#include "ledger/links/links.h"
#include "report/gaps/near.h"

namespace trayproof::gaps {

// Those of which a period may say something; of the others nothing is worked out.
void read_recall_work(Facts& facts, const Near& near, const RecallWork& work);

// Until when a recall may be open; nothing where the SOP states no limit.
std::optional<When> recall_deadline(const Facts& facts, const Recall& recall);

// Works it out from the ledger itself. Both must outlive what is returned.
RecallWork recall_work(const Ledger& ledger, links::Links& tables);

}  // namespace trayproof::gaps
