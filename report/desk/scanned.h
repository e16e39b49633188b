// What was scanned or typed where a form names things: the number that a hand copied from a label ("1234-0", docs/labels.md)
// becomes its pack's id, and a person's badge in the place of a thing is told. An id that stands in the record means
// itself.
#pragma once

#include "ledger/events/kinds.h"
#include "ledger/events/refusal.h"
#include "ledger/links/links.h"
#include "report/desk/fields.h"

namespace trayproof::desk {

struct Scanned {
  Fields fields;
  events::Refusals refused;  // a check digit that does not fit, an entry that packed nothing, a badge
};
Result<Scanned> read_scanned(links::Links& tables, const events::Kind& kind, const Fields& given);

}  // namespace trayproof::desk
