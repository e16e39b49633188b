#include "ledger/links/statements.h"

namespace trayproof::links {

Result<store::Statement*> Statements::at(const char* sql) {
  const auto found = kept_.find(sql);
  if (found != kept_.end()) {
    found->second.reset();
    return &found->second;
  }
  TRY_LET(auto statement, database_->prepare(sql));
  return &kept_.emplace(sql, std::move(statement)).first->second;
}

Result<Snapshot> Snapshot::begin(Statements& statements) {
  if (statements.database().in_transaction()) return Snapshot(nullptr);
  TRY_LET(auto* const begin, statements.at("BEGIN"));
  TRY(begin->run());
  return Snapshot(&statements);
}

Snapshot::~Snapshot() {
  if (statements_ == nullptr) return;
  // Nothing was written, so ending it cannot fail in a way that matters; should it, the next transaction says so.
  auto commit = statements_->at("COMMIT");
  if (!commit.ok() || !commit.value()->run().ok()) statements_->database().roll_back();
}

}  // namespace trayproof::links
