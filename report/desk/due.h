// What is due now, by the record and the SOP in force: plain data, group by group. A ledger of years is asked by its
// indexes only; docs/desk.md, "Now", tells what each group looks at.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "ledger/links/links.h"
#include "ledger/sop/sop.h"

namespace trayproof::desk {

struct DueLine {
  std::string kind, id;  // of thing
  std::string says;
  Instant at;              // since when, or until when
  bool late = false;       // past what the SOP asks for
  std::string address;     // where it is done
  std::string_view doing;  // the text on the way there
};

struct DueGroup {
  std::string_view name;  // under "desk.due-"
  std::vector<DueLine> lines;
  std::size_t more = 0;  // that are not among the lines
  std::string all = {};  // the page where all of them are done; empty: each at its own
};

// Groups in the order in which they hurt; those with nothing in them are there and empty.
Result<std::vector<DueGroup>> due_now(const Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                                      Instant now);

}  // namespace trayproof::desk
