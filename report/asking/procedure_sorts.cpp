#include "report/asking/procedure_sorts.h"

namespace trayproof {

std::string_view procedure_sorts_sql() {
  return R"(SELECT procedure, at_ms, coalesce(sort, '?') AS sort, disposable AS kit,
    json_array_length(coalesce(packs, '[]')) AS n,
    sort LIKE '%deliver%' OR sort LIKE '%birth%' OR sort LIKE '%esarean%' OR coalesce(newborns, '[]') <> '[]'
      OR coalesce(newborns_without_number, 0) > 0 AS birth,
    sort LIKE '%esarean%' OR sort LIKE '%laparotomy%' OR sort LIKE '%ectomy%' OR sort LIKE '%ligation%'
      OR sort LIKE '%operation%' OR sort LIKE '%surgery%' AS operation
  FROM main.procedure_done)";
}

}  // namespace trayproof
