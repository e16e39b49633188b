// From a ledger to what the page tells: the rules' findings that concern the case, and its curves drawn again.
#pragma once

#include <vector>

#include "report/evidence/telling.h"

namespace trayproof::evidence {

// Gravest first. A finding about a thing that other cases share (a set, a machine, a lot, a solution) concerns this one
// when it rests on an entry of its story.
std::vector<const gaps::Finding*> findings_of(const Belonging& belonging, const gaps::Findings& all);

// At most limits::pack_drawings of them, in order of time; `left_out` is how many more there are.
Result<std::vector<DrawnCurve>> draw_curves(const Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                                            const Belonging& belonging, std::size_t& left_out);

// Methods of the loads and agents of the solutions of the case, for the cautions.
std::vector<std::string> methods_and_agents(const Belonging& belonging, const gaps::Facts& facts);

}  // namespace trayproof::evidence
