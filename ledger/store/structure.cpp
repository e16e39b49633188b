#include "ledger/store/structure.h"

#include <algorithm>

namespace trayproof::store {
namespace {

constexpr std::string_view create = "CREATE ";

// How many objects a schema makes.
std::size_t objects_in(std::string_view schema) {
  std::size_t count = schema.starts_with(create) ? 1 : 0;
  for (std::size_t at = schema.find("; CREATE "); at != std::string_view::npos; at = schema.find("; CREATE ", at + 1))
    ++count;
  return count;
}

// Stands there whole: from the beginning of a statement to its end.
bool holds_statement(std::string_view schema, const std::string& sql) {
  if (!sql.starts_with(create)) return false;
  const std::string whole = sql + ";";
  return schema.starts_with(whole) || schema.find("; " + whole) != std::string_view::npos;
}

}  // namespace

std::string without_comments(std::string_view sql) {
  std::string out;
  bool blank = false;
  for (std::size_t at = 0; at < sql.size();) {
    const char c = sql[at];
    if (c == ' ' || c == '\n' || c == '\t' || c == '\r') {
      blank = true;
      ++at;
    } else if (sql.substr(at, 2) == "--") {
      at = std::min(sql.find('\n', at), sql.size());
      blank = true;
    } else {
      if (blank && !out.empty() && c != ';') out += ' ';
      blank = false;
      const bool quote = c == '\'' || c == '"';
      const std::size_t end = quote ? std::min(sql.find(c, at + 1), sql.size() - 1) + 1 : at + 1;
      out += sql.substr(at, end - at);
      at = end;
    }
  }
  return out;
}

Result<std::optional<std::string>> first_foreign_object(Database& database, std::string_view schema) {
  TRY_LET(auto rows, database.prepare("SELECT name, coalesce(sql, '') FROM sqlite_master WHERE name NOT LIKE "
                                      "'sqlite\\_stat%' ESCAPE '\\' ORDER BY name"));
  std::size_t found = 0;
  while (true) {
    TRY_LET(const bool row, rows.step());
    if (!row) break;
    const std::string name(rows.text(0));
    const std::string_view sql = rows.text(1);
    if (sql.empty() && name.starts_with("sqlite_autoindex_")) continue;  // belongs to the table that wants it
    if (!holds_statement(schema, without_comments(sql))) return std::optional(name);
    ++found;
  }
  if (found != objects_in(schema)) return std::optional(std::string());
  return std::optional<std::string>();
}

Result<std::optional<std::string>> first_fault(Database& database, Look look, std::string_view table) {
  std::string sql = look == Look::indexes ? "PRAGMA integrity_check(" : "PRAGMA quick_check(";
  sql += table.empty() ? "1" : table;
  TRY_LET(auto rows, database.prepare(sql + ")"));
  TRY_LET(const bool row, rows.step());
  if (!row || rows.text(0) == "ok") return std::optional<std::string>();
  return std::optional(std::string(rows.text(0)));
}

}  // namespace trayproof::store
