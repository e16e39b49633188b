// Layer 1: one table for each kind of event, made from the vocabulary. docs/tables.md tells the columns.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/zone.h"
#include "ledger/links/standing_event.h"
#include "ledger/links/statements.h"

namespace trayproof::links {

// load-started is load_started.
std::string table_of(std::string_view kind);
// A field's column; of ledger-opened `origin` is origin_name, because `origin` is taken.
std::string column_of(const events::Field& field);
std::string kind_tables_sql();
std::string kind_indexes_sql();

// The last moment that a date-time or a date means, a date in the facility's zone; nothing when it is neither.
std::optional<Instant> last_moment(const json::Value* value, Precision precision, const Zone& zone);

class KindTables {
 public:
  // `zone` is the facility's, for fields that may hold a date alone.
  KindTables(store::Database& database, Zone zone) : database_(&database), zone_(std::move(zone)) {}

  Result<void> put(const StandingEvent& event);
  Result<void> drop(const events::Kind& kind, std::int64_t origin);

 private:
  Result<store::Statement*> insertion(const events::Kind& kind);

  store::Database* database_;
  Zone zone_;
  std::vector<std::optional<store::Statement>> insertions_;  // in the order of the vocabulary
};

}  // namespace trayproof::links
