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

}  // namespace trayproof::links
