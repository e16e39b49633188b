#include <string>

#include "ledger/links/resolve.h"

namespace trayproof::links {

Result<bool> is_named(Statements& statements, std::string_view thing, std::string_view id) {
  TRY_LET(auto* const read, statements.at("SELECT 1 FROM mentions WHERE thing = ? AND id = ? AND holds = 1 LIMIT 1"));
  read->bind(1, thing).bind(2, id);
  return first_row(*read, [](store::Statement&) {});
}

Result<void> resolve_touched(Statements& statements, Touched& touched, const Zone& zone) {
  TRY(resolve_curves(statements, touched));
  TRY(resolve_loads(statements, touched));
  TRY(resolve_packs(statements, touched));
  TRY(resolve_evidence(statements, touched));
  TRY(resolve_biologicals(statements, touched, zone));
  TRY(resolve_turns(statements, touched));
  TRY(resolve_soaks(statements, touched));
  TRY(resolve_solutions(statements, touched));
  return resolve_recalls(statements, touched);
}

Result<void> resolve_solutions(Statements& statements, const Touched& touched) {
  for (const std::string& id : touched.solutions) {
    TRY_LET(auto* const drop, statements.at("DELETE FROM solutions WHERE solution = ?"));
    TRY(drop->bind(1, id).run());
    TRY_LET(const bool named, is_named(statements, "solution", id));
    if (!named) continue;
    TRY_LET(auto* const put, statements.at("INSERT INTO solutions SELECT ?1, p.agent, p.use, p.percent, p.lot, p.seq, "
                                           "p.at_ms, p.earliest_ms, p.latest_ms, p.expires_ms,"
                                           "  d.seq, d.at_ms, d.earliest_ms, d.latest_ms"
                                           " FROM (SELECT 1) LEFT JOIN solution_prepared p ON p.origin = (SELECT "
                                           "min(origin) FROM solution_prepared WHERE solution = ?1)"
                                           " LEFT JOIN solution_discarded d ON d.origin = (SELECT min(origin) FROM "
                                           "solution_discarded WHERE solution = ?1)"));
    TRY(put->bind(1, id).run());
  }
  return {};
}

Result<void> resolve_recalls(Statements& statements, const Touched& touched) {
  for (const std::string& id : touched.recalls) {
    TRY_LET(auto* const drop, statements.at("DELETE FROM recalls WHERE recall = ?"));
    TRY(drop->bind(1, id).run());
    TRY_LET(auto* const put,
            statements.at("INSERT INTO recalls SELECT o.recall, o.because, o.subject, o.as_of, o.known_at, o.answer, "
                          "coalesce(o.drill, 0), o.seq, o.at_ms, c.seq, c.at_ms"
                          " FROM recall_opened o LEFT JOIN recall_closed c ON c.origin = (SELECT min(origin) FROM "
                          "recall_closed WHERE recall = ?1)"
                          " WHERE o.origin = (SELECT min(origin) FROM recall_opened WHERE recall = ?1)"));
    TRY(put->bind(1, id).run());
  }
  return {};
}

}  // namespace trayproof::links
