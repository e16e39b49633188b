#include "report/answers/use_by.h"

namespace trayproof::answers {
namespace {

// The labels it was stored with since that load; one that cannot be read is one too.
std::string stored(const ShelfLife& of) {
  return "FROM pack_moves m JOIN pack_stored s ON s.origin = m.origin WHERE m.pack = " + of.pack +
         " AND m.kind = 'pack-stored' AND m.load IS " + of.load + " AND m.at_ms <= " + of.moment +
         " AND (m.use_by_ms IS NOT NULL OR json_extract(s.unknown, '$.use_by') IS NOT NULL)";
}

// The days of the SOP, or 'until-damaged', for `l` and `w`.
std::string life(const ShelfLife& of) {
  return "(SELECT z.value FROM limits z WHERE " + of.moment + R"( BETWEEN z.from_ms AND z.until_ms AND z.key =
      CASE WHEN l.method IS NULL THEN NULL
           WHEN l.method IN ('boiling', 'steaming', 'thermal-disinfection', 'chemical-disinfection')
           THEN 'shelf.disinfected_days' ELSE 'shelf.days.' || coalesce(w.wrap, 'wrapped') END))";
}

std::string from_load(const ShelfLife& of) {
  return " FROM loads l JOIN packs w ON w.pack = " + of.pack + " WHERE l.load = " + of.load;
}

}  // namespace

std::string use_by_sql(const ShelfLife& of) {
  return "CASE WHEN EXISTS (SELECT 1 " + stored(of) + ")\n    THEN (SELECT m.use_by_ms " + stored(of) +
         " ORDER BY m.at_ms DESC, m.seq DESC LIMIT 1)\n    WHEN " + of.load +
         " IS NULL THEN (SELECT w.use_by_ms FROM packs w WHERE w.pack = " + of.pack +
         ")\n    ELSE (SELECT l.end_ms + 86400000 * nullif(" + life(of) + ", 'until-damaged')" + from_load(of) +
         ") END";
}

std::string keeps_sql(const ShelfLife& of) {
  return "NOT EXISTS (SELECT 1 " + stored(of) + ") AND coalesce((SELECT " + life(of) + " = 'until-damaged'" +
         from_load(of) + "), 0)";
}

}  // namespace trayproof::answers
