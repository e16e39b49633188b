// Gathers what the workbook for external review shows: from the derived tables, the findings, the SOP editions and the
// ledger. Reads only; what is absent in the record stays absent in the rows. docs/workbook.md is the authority on the
// sheets, docs/review.md on what each figure counts.
//
// A thing belongs where it happened: a procedure by its time, a load by its start, a finding by when it arose.
#pragma once

#include <optional>
#include <string>

#include "ledger/links/links.h"
#include "report/gaps/find.h"
#include "report/workbook/facts.h"

namespace trayproof::review {

struct Asked {
  std::optional<Instant> from;
  std::optional<Instant> until;        // included
  std::optional<std::string> what_if;  // the text of an SOP that judges instead
};

// Those that judge what is asked: the one that is tried, else the ledger's.
Result<sop::Editions> editions_asked(const Ledger& ledger, const links::Links& tables, const Asked& asked);

struct Review {
  workbook::Facts facts;
  std::int64_t gaps = 0;         // findings of the period, answered ones included
  std::int64_t cannot_tell = 0;  // over all rules
};

// `tables` must have been caught up. `now` is the clock's.
Result<Review> gather(const Ledger& ledger, links::Links& tables, Instant now, const Asked& asked);

// The answers that opened recalls, as they are kept.
gaps::RecallAnswers kept_answers(const Ledger& ledger);

}  // namespace trayproof::review
