// The slow, obvious second implementation of recall: the whole answer, worked out from the entries for every question.
//
// It promises the answer of docs/recall.md without `seconds` and `reread_seconds`, and refuses (missing, invalid) a
// subject that the ledger does not hold or that is not whole. It knows no tables and no index; each step quotes the
// sentence of the definition that it carries out, and each choice of its own begins with "The definition is silent:".
#pragma once

#include <vector>

#include "ledger/base/result.h"
#include "ledger/text/json.h"
#include "tests/reference/affected.h"
#include "tests/reference/effective_events.h"

namespace trayproof::reference {

Result<json::Value> recall(const std::vector<Entry>& entries, const RecallRequest& request);

}  // namespace trayproof::reference
