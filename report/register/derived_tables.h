// The derived tables of a facility (docs/tables.md), as they stand in the register: the same tables, columns and rows
// with the ledger's id before them, made from the very statements that make them beside a ledger. What counts
// milliseconds there (`x_ms`) is a timestamptz here (`x_time`).
#pragma once

#include <string>
#include <vector>

#include "report/register/postgres.h"

namespace trayproof::registry {

enum class ColumnSort { text, bigint, real, bytes, time, any };

struct DerivedColumn {
  std::string name;       // in the register
  std::string name_here;  // beside a ledger
  ColumnSort sort = ColumnSort::text;
};

struct DerivedTable {
  std::string name;
  std::vector<DerivedColumn> columns;  // without `ledger`
  std::vector<std::string> key;        // the same; empty: rows have none
};

// All of them but the watermark, by name.
Result<std::vector<DerivedTable>> derived_tables();
// Differs when any of them, a column or the way they are derived does.
Result<std::string> derived_shape();
// Drops those there are and makes them; inside a transaction.
Result<void> make_derived_tables(Connection& connection, const std::string& shape);

// A name that PostgreSQL takes as it stands.
std::string quoted(std::string_view name);

}  // namespace trayproof::registry
