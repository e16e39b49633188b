// The parts of a page about one thing. Each group of them in a file of its own.
#pragma once

#include "ledger/links/links.h"
#include "ledger/links/trace.h"
#include "ledger/sop/sop.h"
#include "report/desk/routes.h"
#include "report/gaps/find.h"
#include "report/markup/markup.h"

namespace trayproof::desk {

struct Subject {
  const Ledger& ledger;
  links::Links& tables;
  const sop::Editions& editions;
  std::string kind, id;
};

// subject_facts.cpp: what the record says of it, as names and values; cautions where the work can hurt.
Result<markup::Markup> facts_of(const Subject& subject);
// subject_load.cpp: decision, curves drawn, what was judged with its margins, strips, biologicals, what it held.
Result<markup::Markup> load_parts(const Subject& subject);
// subject_story.cpp: the entries in order of time, and everything that ties to it.
markup::Markup story_of(const links::Trace& trace);
markup::Markup ties_of(const links::Trace& trace);

// A finding as a line of a list: how grave, what, where it is answered.
markup::Markup finding_item(const gaps::Finding& finding, const Zone& zone);

}  // namespace trayproof::desk
