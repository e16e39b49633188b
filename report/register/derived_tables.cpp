#include "report/register/derived_tables.h"

#include <algorithm>

#include "ledger/crypto/hash.h"
#include "ledger/links/derivation_version.h"
#include "ledger/links/kind_tables.h"
#include "ledger/links/schema.h"
#include "ledger/store/database.h"

namespace trayproof::registry {
namespace {

// Changes with what is put into the summaries; their form speaks for itself, and links says when the derivation
// changes.
constexpr std::string_view summaries_version = "4";

// Worked out by the same code too, and in no ledger's tables: what the gap rules say, as counts (gap_counts.h), and
// where lots went (lot_reach.h).
constexpr const char* summaries = R"(
CREATE TABLE derived.gap_counts (
  ledger      text        NOT NULL,
  rule        text        NOT NULL,
  severity    text        NOT NULL,
  subjects    bigint      NOT NULL,  -- looked at
  gaps        bigint      NOT NULL,
  cannot_tell bigint      NOT NULL,
  from_time   timestamptz NOT NULL,
  until_time  timestamptz NOT NULL,
  PRIMARY KEY (ledger, rule)
);
CREATE TABLE derived.lot_reach (
  ledger        text   NOT NULL,
  lot           text   NOT NULL,
  loads         bigint NOT NULL,
  load_ids      text   NOT NULL,  -- parted by blanks
  packs         bigint NOT NULL,
  pack_ids      text   NOT NULL,
  procedures    bigint NOT NULL,
  procedure_ids text   NOT NULL,
  PRIMARY KEY (ledger, lot)
);
)";

// Found by what people ask across ledgers.
constexpr const char* indexes = R"(
CREATE INDEX lot_reach_by_lot ON derived.lot_reach (lot, ledger);
CREATE INDEX uses_by_time ON derived.uses (ledger, use_time);
CREATE INDEX loads_by_start ON derived.loads (ledger, start_time);
)";

ColumnSort sort_of(std::string_view name, std::string_view type) {
  if (name.ends_with("_ms")) return ColumnSort::time;
  if (type == "INTEGER") return ColumnSort::bigint;
  if (type == "REAL") return ColumnSort::real;
  if (type == "BLOB") return ColumnSort::bytes;
  if (type == "TEXT") return ColumnSort::text;
  return ColumnSort::any;  // true, false or a date: as JSON writes it
}

std::string name_of(std::string_view name) {
  if (name == "ledger") return "ledger_told";  // of ledger-opened; the first column of every table is called so
  if (!name.ends_with("_ms")) return std::string(name);
  return std::string(name.substr(0, name.size() - 2)) + "time";
}

std::string_view type_of(ColumnSort sort) {
  switch (sort) {
    case ColumnSort::bigint:
      return "bigint";
    case ColumnSort::real:
      return "double precision";
    case ColumnSort::bytes:
      return "bytea";
    case ColumnSort::time:
      return "timestamptz";
    case ColumnSort::text:
    case ColumnSort::any:
      return "text";
  }
  return "text";
}

Result<DerivedTable> read_table(store::Database& database, std::string name) {
  DerivedTable table{.name = std::move(name), .columns = {}, .key = {}};
  std::vector<std::pair<std::int64_t, std::string>> key;
  TRY_LET(auto columns, database.prepare("SELECT name, type, pk FROM pragma_table_info(?) ORDER BY cid"));
  columns.bind(1, table.name);
  while (true) {
    TRY_LET(const bool more, columns.step());
    if (!more) break;
    const std::string here(columns.text(0));
    table.columns.push_back({.name = name_of(here), .name_here = here, .sort = sort_of(here, columns.text(1))});
    if (columns.integer(2) > 0) key.emplace_back(columns.integer(2), name_of(here));
  }
  std::sort(key.begin(), key.end());
  for (auto& [place, column] : key) table.key.push_back(std::move(column));
  return table;
}

std::string creation_of(const DerivedTable& table) {
  std::string sql = "CREATE TABLE derived." + quoted(table.name) + " (ledger text NOT NULL";
  for (const DerivedColumn& column : table.columns)
    sql.append(", ").append(quoted(column.name)).append(" ").append(type_of(column.sort));
  if (!table.key.empty()) {
    sql += ", PRIMARY KEY (ledger";
    for (const std::string& column : table.key) sql += ", " + quoted(column);
    sql += ")";
  }
  return sql + ");\n";
}

}  // namespace

std::string quoted(std::string_view name) {
  std::string out = "\"";
  for (const char c : name) out.append(c == '"' ? 2 : 1, c);
  return out + '"';
}

// SQLite says itself how it understood the statements.
Result<std::vector<DerivedTable>> derived_tables() {
  TRY_LET(auto database, store::Database::in_memory());
  TRY(database.run(links::kind_tables_sql() + links::layer_two_tables_sql()));
  std::vector<std::string> names;
  {
    TRY_LET(auto found, database.prepare("SELECT name FROM sqlite_master WHERE type = 'table' AND name <> 'watermark' "
                                         "ORDER BY name"));
    while (true) {
      TRY_LET(const bool more, found.step());
      if (!more) break;
      names.emplace_back(found.text(0));
    }
  }
  std::vector<DerivedTable> tables;
  for (std::string& name : names) {
    TRY_LET(auto table, read_table(database, std::move(name)));
    tables.push_back(std::move(table));
  }
  return tables;
}

Result<std::string> derived_shape() {
  TRY_LET(const auto tables, derived_tables());
  std::string all(summaries_version);
  all.append(" ").append(links::derivation_version).append("\n");
  for (const DerivedTable& table : tables) all += creation_of(table);
  return hex(crypto::sha256(as_bytes(all + summaries + indexes)));
}

Result<void> make_derived_tables(Connection& connection, const std::string& shape) {
  TRY_LET(const Rows there, connection.ask("SELECT tablename FROM pg_tables WHERE schemaname = 'derived' AND tablename "
                                           "NOT IN ('watermark', 'shape')"));
  std::string sql;
  for (int row = 0; row < there.count(); ++row) sql += "DROP TABLE derived." + quoted(there.text(row, 0)) + ";\n";
  TRY_LET(const auto tables, derived_tables());
  for (const DerivedTable& table : tables) sql += creation_of(table);
  TRY(connection.run(sql + summaries + indexes + "DELETE FROM derived.watermark; DELETE FROM derived.shape;"));
  TRY(connection.ask("INSERT INTO derived.shape VALUES (1, $1)", Parameters().add(shape)));
  return {};
}

}  // namespace trayproof::registry
