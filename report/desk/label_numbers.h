// The number that a hand copied from a label ("1234-0", docs/labels.md) in place of a pack's id: wherever a form names a
// pack that is recorded already. An id that is spelled like such a number and stands in the record means itself.
#pragma once

#include "ledger/events/kinds.h"
#include "ledger/events/refusal.h"
#include "ledger/links/links.h"
#include "report/desk/fields.h"

namespace trayproof::desk {

struct NumbersRead {
  Fields fields;
  events::Refusals refused;  // a check digit that does not fit, an entry that packed nothing
};
Result<NumbersRead> read_label_numbers(links::Links& tables, const events::Kind& kind, const Fields& given);

}  // namespace trayproof::desk
