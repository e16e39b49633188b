// Every column of every row of every table changed, every row dropped.
#include "tests/support/test.h"
#include "tests/tamper/tampering.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

struct Column {
  std::string table;
  std::string name;
};

std::vector<Column> columns_of(const std::string& path) {
  auto database = store::Database::open(path, store::Access::read);
  REQUIRE(database.ok());
  auto read = database.value().prepare(
      "SELECT m.name, c.name FROM sqlite_master m, pragma_table_info(m.name) c WHERE m.type = 'table' ORDER BY 1, 2");
  REQUIRE(read.ok());
  std::vector<Column> columns;
  while (read.value().step().value())
    columns.push_back({std::string(read.value().text(0)), std::string(read.value().text(1))});
  return columns;
}

std::int64_t rows_of(const std::string& path, const std::string& table) {
  auto database = store::Database::open(path, store::Access::read);
  REQUIRE(database.ok());
  auto read = database.value().prepare("SELECT count(*) FROM " + table);
  REQUIRE(read.ok());
  REQUIRE(read.value().step().ok());
  return read.value().integer(0);
}

// The row'th row in the order of all columns; tables without a rowid have none to name it by.
std::string where_row(const std::vector<Column>& columns, const std::string& table, std::int64_t row) {
  std::string all;
  for (const Column& one : columns) {
    if (one.table == table) all += (all.empty() ? "" : ", ") + one.name;
  }
  return " WHERE (" + all + ") IS (SELECT " + all + " FROM " + table + " ORDER BY " + all + " LIMIT 1 OFFSET " +
         std::to_string(row) + ")";
}

// Four ways to change a value of any type.
std::vector<std::string> changes_of(const std::string& column) {
  return {
      "CASE typeof(" + column + ") WHEN 'integer' THEN " + column + " + 1 WHEN 'text' THEN " + column +
          " || 'x' WHEN 'blob' THEN CAST(" + column + " || x'00' AS BLOB) ELSE 'x' END",
      "CASE typeof(" + column + ") WHEN 'integer' THEN " + column + " - 1 WHEN 'text' THEN substr(" + column +
          ", 1, length(" + column + ") - 1) WHEN 'blob' THEN substr(" + column + ", 1, length(" + column +
          ") - 1) ELSE x'00' END",
      "CASE typeof(" + column + ") WHEN 'integer' THEN 0 WHEN 'text' THEN '' WHEN 'blob' THEN zeroblob(length(" +
          column + ")) ELSE 0 END",
      "CASE typeof(" + column + ") WHEN 'text' THEN NULL WHEN 'blob' THEN randomblob(length(" + column +
          ")) ELSE 999 END",
  };
}

}  // namespace

TEST_CASE("no value of any table is changed unseen") {
  Tampering tampering;
  const auto columns = columns_of(tampering.path());
  REQUIRE(columns.size() > 30);
  std::int64_t tried = 0;
  std::int64_t told = 0;
  for (const Column& column : columns) {
    const std::int64_t rows = rows_of(tampering.path(), column.table);
    for (std::int64_t row = 0; row < rows; ++row) {
      for (const std::string& change : changes_of(column.name)) {
        tampering.fresh_copy();
        const std::string sql =
            "UPDATE " + column.table + " SET " + column.name + " = " + change + where_row(columns, column.table, row);
        const std::string other = where_row(columns, column.table, row) + " AND " + column.name + " IS NOT " + change;
        if (rows_of(tampering.path(), column.table + other) == 0) continue;  // it was that value already
        if (!tampering.run(sql)) continue;                                   // the table's own rules refuse it
        ++tried;
        const Fate fate = tampering.fate();
        told += fate == Fate::told || fate == Fate::closed ? 1 : 0;
        INFO(sql);
        REQUIRE(fate != Fate::unseen);
        if (column.table == "entries" && column.name != "slip") CHECK(fate != Fate::unchanged);
      }
    }
    tampering.fresh_copy();
  }
  MESSAGE(tried, " values changed, ", told, " told, the others without any answer changed");
}

TEST_CASE("no row of any table is dropped unseen") {
  Tampering tampering;
  const auto columns = columns_of(tampering.path());
  std::string last;
  for (const Column& column : columns) {
    if (column.table == last) continue;
    last = column.table;
    const std::int64_t rows = rows_of(tampering.path(), column.table);
    for (std::int64_t row = 0; row < rows; ++row) {
      tampering.fresh_copy();
      INFO(column.table, " row ", row);
      REQUIRE(tampering.run("DELETE FROM " + column.table + where_row(columns, column.table, row)));
      CHECK(tampering.fate() != Fate::unseen);
    }
    tampering.fresh_copy();
    if (!tampering.run("DELETE FROM " + column.table)) continue;
    INFO(column.table, " emptied");
    CHECK(tampering.fate() != Fate::unseen);
    tampering.fresh_copy();
    if (!tampering.run("DROP TABLE " + column.table)) continue;
    INFO(column.table, " dropped");
    CHECK(tampering.fate() != Fate::unseen);
    tampering.fresh_copy();
  }
}

TEST_CASE("entries of another type or with bytes after their text are told") {
  Tampering tampering;
  for (const char* sql :
       {"UPDATE entries SET entry = entry || char(10) WHERE seq = 12",
        "UPDATE entries SET entry = entry || char(0) WHERE seq = 12",
        "UPDATE entries SET entry = ' ' || entry WHERE seq = 12",
        "UPDATE entries SET sig = randomblob(64) WHERE seq = 12",
        "UPDATE entries SET sig = (SELECT sig FROM entries WHERE seq = 10) WHERE seq = 12",
        "UPDATE entries SET sig = x'' WHERE length(sig) = 64",
        "UPDATE entries SET entry = replace(entry, '\"v\":1', '\"v\":1.0')",
        "UPDATE entries SET entry = '' WHERE seq = 12", "UPDATE entries SET entry = '{}' WHERE seq = 12"}) {
    INFO(std::string(sql));
    tampering.fresh_copy();
    REQUIRE(tampering.run(sql));
    CHECK(tampering.fate() == Fate::told);
  }
}
