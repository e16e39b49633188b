#include "ledger/verify_file.h"

#include "ledger/store/schema.h"
#include "ledger/store/structure.h"
#include "ledger/verify.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

// The file's own words and no others: a trigger could rewrite, a view stand in for a table, an index lack rows.
Result<void> check_objects(store::Database& database, const ReportProblem& problem) {
  static const std::string schema = [] {
    std::string sql = store::without_comments(store::schema_sql());
    return sql.substr(sql.find("CREATE "));  // the PRAGMAs before the tables leave no object
  }();
  TRY_LET(const auto foreign, store::first_foreign_object(database, schema));
  if (foreign && foreign->empty()) problem(std::nullopt, say("verify.object-missing"));
  if (foreign && !foreign->empty()) problem(std::nullopt, say("verify.object-foreign", {{"name", *foreign}}));
  return {};
}

// Looking into every index of the entries takes as long as reading them; the small tables are always looked into.
Result<void> check_pages(store::Database& database, Depth depth, const ReportProblem& problem) {
  TRY_LET(auto fault, store::first_fault(database, depth == Depth::full ? store::Look::indexes : store::Look::pages));
  for (const std::string_view table : {"corrections", "patients", "texts", "attachment_parts"}) {
    if (fault || depth == Depth::full) break;
    TRY_LET(fault, store::first_fault(database, store::Look::indexes, table));
  }
  if (fault) problem(std::nullopt, say("verify.pages", {{"found", *fault}}));
  return {};
}

// Such a row is read by no walk from 1 on, yet its slip or content would pass a later event off as a repeat.
Result<void> check_numbers(store::Database& database, const ReportProblem& problem) {
  TRY_LET(auto rows, database.prepare("SELECT seq FROM entries WHERE seq < 1 ORDER BY seq"));
  while (true) {
    TRY_LET(const bool row, rows.step());
    if (!row) return {};
    problem(rows.integer(0), say("verify.outside"));
  }
}

}  // namespace

Result<void> check_file(Ledger& ledger, Depth depth, const ReportProblem& problem) {
  store::Database& database = ledger.file().database();
  TRY(check_objects(database, problem));
  TRY(check_numbers(database, problem));
  return check_pages(database, depth, problem);
}

}  // namespace trayproof
