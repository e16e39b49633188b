// Whether a file of ours is built as it should be: exactly the tables, indexes and triggers of its schema, and pages
// and indexes that SQLite itself finds in order. A planted trigger or view, or an index that leaves rows out, would
// change answers while every row still stands in its table.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "ledger/base/result.h"
#include "ledger/store/database.h"

namespace trayproof::store {

// The SQL without comments and with single blanks, quoted texts as they are: what SQLite keeps of a CREATE differs from
// ours in nothing else.
std::string without_comments(std::string_view sql);

// The name of the first object that the schema does not have so, or "" when one is missing; nothing when all are there.
// `schema` is what `without_comments` gives. The tables that ANALYZE leaves are passed over.
Result<std::optional<std::string>> first_foreign_object(Database& database, std::string_view schema);

enum class Look {
  pages,    // order within the tables
  indexes,  // and every row in every index
};
// What SQLite's own check says first; nothing when it finds all in order. `table` looks at one alone.
Result<std::optional<std::string>> first_fault(Database& database, Look look, std::string_view table = {});

}  // namespace trayproof::store
