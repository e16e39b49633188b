// Recall: who was reached by a failed process. docs/recall.md is the authority.
//
// The answer comes from derived tables. Before it is given, every entry that it cites is read again from the ledger and
// compared with what the tables say of it; a difference is corrupt, never a quiet answer. Errors: invalid (something is
// not given), missing (no event names the subject), corrupt.
#pragma once

#include "ledger/ledger.h"
#include "ledger/links/links.h"
#include "ledger/recall/answer.h"
#include "ledger/recall/request.h"
#include "ledger/sop/sop.h"

namespace trayproof::recall {

// `links` are those of the whole ledger, caught up; a request with an earlier time is answered from tables derived for
// it. `editions` are those known at the request's `known_at`.
Result<Answer> answer(const Request& request, links::Links& links, const sop::Editions& editions);

// From these tables as they are, whatever part of the ledger they show, and without reading entries again.
Result<Answer> compute(const Request& request, links::Links& links, const sop::Editions& editions);

// Reads every cited entry and compares; fills `cited`.
Result<void> reread(Answer& answer, links::Links& links);

}  // namespace trayproof::recall
