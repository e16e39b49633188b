#include "ledger/store/entry_scan.h"

namespace trayproof::store {
namespace {

Result<Statement> rows_of(Database& database, EntryScan::Columns columns) {
  return database.prepare(columns == EntryScan::Columns::chain
                              ? "SELECT seq, entry, hash FROM entries WHERE seq BETWEEN ? AND ? ORDER BY seq"
                              : "SELECT seq, entry, hash, sig, slip, content FROM entries WHERE seq BETWEEN ? AND ? "
                                "ORDER BY seq");
}
Result<Statement> first_of(Database& database) {
  return database.prepare("SELECT seq FROM entries WHERE seq >= ? ORDER BY seq LIMIT 1");
}

}  // namespace

EntryScan::EntryScan(std::optional<Database> own, Columns columns, Statement rows, Statement first)
    : own_(std::move(own)), columns_(columns), rows_(std::move(rows)), first_(std::move(first)) {}

Result<EntryScan> EntryScan::open(const std::string& path, Columns columns) {
  TRY_LET(auto database, Database::open(path, Access::read));
  TRY(database.run("PRAGMA cache_size = -1024"));
  TRY_LET(auto rows, rows_of(database, columns));
  TRY_LET(auto first, first_of(database));
  return EntryScan(std::move(database), columns, std::move(rows), std::move(first));
}

Result<EntryScan> EntryScan::over(Database& database, Columns columns) {
  TRY_LET(auto rows, rows_of(database, columns));
  TRY_LET(auto first, first_of(database));
  return EntryScan(std::nullopt, columns, std::move(rows), std::move(first));
}

Result<std::optional<std::int64_t>> EntryScan::first_from(std::int64_t seq) {
  first_.bind(1, seq);
  TRY_LET(const bool row, first_.step());
  if (!row) return std::optional<std::int64_t>{};
  const std::int64_t found = first_.integer(0);
  first_.reset();
  return std::optional(found);
}

Result<void> EntryScan::range(std::int64_t from, std::int64_t until,
                              const std::function<void(const EntryRow&)>& visit) {
  rows_.bind(1, from).bind(2, until);
  while (true) {
    TRY_LET(const bool more, rows_.step());
    if (!more) return {};
    EntryRow row{
        .seq = rows_.integer(0), .bytes = rows_.text(1), .hash = rows_.blob(2), .sig = {}, .slip = {}, .content = {}};
    if (columns_ == Columns::all) {
      row.sig = rows_.blob(3);
      if (!rows_.is_null(4)) row.slip = rows_.text(4);
      row.content = rows_.blob(5);
    }
    visit(row);
  }
}

}  // namespace trayproof::store
