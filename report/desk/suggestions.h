// What the record knows that a form may mean: sets, packs that wait for a load or stand on the shelf, loads without an end or
// a decision, solutions in use, lots. By indexes, and few enough for a page.
#pragma once

#include "ledger/links/links.h"
#include "report/desk/kind_form.h"

namespace trayproof::desk {

Result<Suggestions> suggestions_for(links::Links& tables, const events::Kind& kind);

}  // namespace trayproof::desk
