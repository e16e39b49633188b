// Pictures of the curves for the workbook: of the loads that it shows, those first whose evidence was missed.
#pragma once

#include "ledger/ledger.h"
#include "ledger/links/links.h"
#include "report/workbook/facts.h"

namespace trayproof::paper {

// Fills `facts.pictures`, at most sixty, as `editions` judge them, and says how many were left out.
Result<void> put_pictures(const Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                          workbook::Facts& facts);

}  // namespace trayproof::paper
