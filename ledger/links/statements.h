// Prepared statements, kept for as long as their database is open, and the two ways to read rows.
#pragma once

#include <type_traits>
#include <unordered_map>
#include <utility>

#include "ledger/store/database.h"

namespace trayproof::links {

class Statements {
 public:
  explicit Statements(store::Database& database) : database_(&database) {}

  store::Database& database() const { return *database_; }
  // `sql` is a literal: the statement is found again by its address. Nobody may be reading from it when it is asked for
  // again.
  Result<store::Statement*> at(const char* sql);
  void clear() { kept_.clear(); }

 private:
  store::Database* database_;
  std::unordered_map<const char*, store::Statement> kept_;
};

// One state of the tables for several reads, and one lock instead of one for each. Inside a transaction it is nothing.
class Snapshot {
 public:
  static Result<Snapshot> begin(Statements& statements);
  Snapshot(Snapshot&& other) noexcept : statements_(std::exchange(other.statements_, nullptr)) {}
  Snapshot& operator=(Snapshot&&) = delete;
  ~Snapshot();

 private:
  explicit Snapshot(Statements* statements) : statements_(statements) {}
  Statements* statements_;
};

// Calls `visit` for every row.
template <typename Visit>
Result<void> each_row(store::Statement& statement, const Visit& visit) {
  while (true) {
    auto more = statement.step();
    if (!more.ok()) return std::move(more).error();
    if (!more.value()) return {};
    if constexpr (std::is_void_v<decltype(visit(statement))>) {
      visit(statement);
    } else {
      auto visited = visit(statement);
      if (!visited.ok()) {
        statement.reset();
        return std::move(visited).error();
      }
    }
  }
}

// Calls `visit` for the first row; false when there is none.
template <typename Visit>
Result<bool> first_row(store::Statement& statement, const Visit& visit) {
  auto more = statement.step();
  if (!more.ok()) return std::move(more).error();
  if (!more.value()) return false;
  visit(statement);
  statement.reset();
  return true;
}

}  // namespace trayproof::links
