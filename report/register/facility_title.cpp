#include "report/register/facility_title.h"

namespace trayproof::registry {

std::string title_sql(const std::string& ledger) {
  return "coalesce((SELECT d.title FROM derived.facility_described d WHERE d.ledger = " + ledger +
         " ORDER BY d.at_time DESC, d.origin DESC LIMIT 1), " + ledger + ")";
}

}  // namespace trayproof::registry
