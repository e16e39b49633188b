// A what-if judges kept curves too: each that stands at a load is judged by the edition that is tried, where what was
// kept of it allows.
#pragma once

#include "ledger/links/links.h"
#include "report/gaps/facts.h"

namespace trayproof::gaps {

// Puts those judgements in the place of the recorded ones, and counts what had to stand.
Result<void> judge_curves_what_if(Facts& facts, const CurveJudge& judge);

// Judges kept curves by that edition. `ledger` and `tables` must outlive what is returned.
CurveJudge curve_judge(const Ledger& ledger, links::Links& tables, const sop::Sop& what_if);

}  // namespace trayproof::gaps
