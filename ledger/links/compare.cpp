#include <vector>

#include "ledger/links/links.h"
#include "ledger/store/structure.h"
#include "ledger/text/json.h"

namespace trayproof::links {
namespace {

Result<std::vector<std::string>> tables_of(store::Database& database) {
  std::vector<std::string> names;
  TRY_LET(auto read, database.prepare("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE "
                                      "'sqlite\\_%' ESCAPE '\\' ORDER BY name"));
  TRY(each_row(read, [&](store::Statement& row) { names.emplace_back(row.text(0)); }));
  return names;
}

// Reads a table as rows of text, sorted: what order they were written in does not matter.
Result<store::Statement> sorted_rows(store::Database& database, const std::string& table) {
  std::string columns;
  TRY_LET(auto read, database.prepare("SELECT name FROM pragma_table_info(?)"));
  read.bind(1, table);
  TRY(each_row(read, [&](store::Statement& row) {
    if (!columns.empty()) columns += " || ', ' || ";
    columns += "quote(\"" + std::string(row.text(0)) + "\")";
  }));
  if (columns.empty()) columns = "''";
  return database.prepare("SELECT " + columns + " FROM \"" + table + "\" ORDER BY 1");
}

Result<std::optional<Difference>> compare_table(store::Database& kept, store::Database& fresh,
                                                const std::string& table) {
  TRY_LET(auto kept_rows, sorted_rows(kept, table));
  TRY_LET(auto fresh_rows, sorted_rows(fresh, table));
  while (true) {
    TRY_LET(const bool more_kept, kept_rows.step());
    TRY_LET(const bool more_fresh, fresh_rows.step());
    if (!more_kept && !more_fresh) return std::optional<Difference>();
    const std::string kept_row = more_kept ? std::string(kept_rows.text(0)) : std::string();
    const std::string fresh_row = more_fresh ? std::string(fresh_rows.text(0)) : std::string();
    if (more_kept && more_fresh && kept_row == fresh_row) continue;
    const bool only_fresh = !more_kept || (more_fresh && fresh_row < kept_row);
    return std::optional(Difference{table, only_fresh ? fresh_row : kept_row, only_fresh});
  }
}

}  // namespace

Result<std::optional<Difference>> Links::same_as_fresh() {
  Cut cut = cut_;
  if (!cut.known_at) cut.known_at = known_at_;
  TRY_LET(Links fresh, derive_in_memory(*ledger_, cut));
  TRY_LET(const auto kept_tables, tables_of(*database_));
  TRY_LET(const auto fresh_tables, tables_of(fresh.database()));
  if (kept_tables != fresh_tables) return std::optional(Difference{"sqlite_master", "", false});
  // Rows that an index leaves out are missing from answers, though the table has them.
  TRY_LET(const auto fault, store::first_fault(*database_, store::Look::indexes));
  if (fault) return std::optional(Difference{"sqlite_master", *fault, false});
  TRY_LET(const bool whole, has_every_table());
  if (!whole) return std::optional(Difference{"sqlite_master", "", false});
  for (const std::string& table : fresh_tables) {
    TRY_LET(auto difference, compare_table(*database_, fresh.database(), table));
    if (difference) return difference;
  }
  return std::optional<Difference>();
}

}  // namespace trayproof::links
