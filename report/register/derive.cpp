#include "report/register/derive.h"

#include "ledger/links/links.h"
#include "ledger/words/words.h"
#include "report/register/derived_tables.h"
#include "report/register/gap_counts.h"
#include "report/register/lot_reach.h"
#include "report/register/replica.h"

namespace trayproof::registry {
namespace {

std::string selection_of(const DerivedTable& table) {
  std::string sql = "SELECT ";
  for (std::size_t i = 0; i < table.columns.size(); ++i)
    sql.append(i == 0 ? "" : ", ").append(quoted(table.columns[i].name_here));
  return sql + " FROM " + quoted(table.name);
}

std::string places_of(const DerivedTable& table) {
  std::string out = "derived." + quoted(table.name) + " (ledger";
  for (const DerivedColumn& column : table.columns) out += ", " + quoted(column.name);
  return out + ")";
}

void put(CopyIn& copy, ColumnSort sort, const store::Statement& row, int column) {
  if (row.is_null(column)) return copy.add_null();
  switch (sort) {
    case ColumnSort::bigint:
      return copy.add_bigint(row.integer(column));
    case ColumnSort::real:
      return copy.add_real(row.real(column));
    case ColumnSort::bytes:
      return copy.add(row.blob(column));
    case ColumnSort::time:
      return copy.add_time(Instant{row.integer(column)});
    case ColumnSort::text:
    case ColumnSort::any:
      return copy.add(row.text(column));
  }
}

Result<std::int64_t> copy_table(Connection& connection, store::Database& from, const DerivedTable& table,
                                const std::string& ledger) {
  TRY(connection.ask("DELETE FROM derived." + quoted(table.name) + " WHERE ledger = $1", Parameters().add(ledger)));
  TRY_LET(auto rows, from.prepare(selection_of(table)));
  TRY_LET(bool more, rows.step());
  if (!more) return std::int64_t{0};
  TRY_LET(auto copy, CopyIn::begin(connection, places_of(table), static_cast<int>(table.columns.size()) + 1));
  std::int64_t count = 0;
  while (more) {
    copy.row();
    copy.add(std::string_view(ledger));
    for (std::size_t i = 0; i < table.columns.size(); ++i) put(copy, table.columns[i].sort, rows, static_cast<int>(i));
    ++count;
    TRY(copy.flush_some());
    TRY_LET(more, rows.step());
  }
  TRY(copy.finish());
  return count;
}

Result<bool> is_derived(Connection& connection, const std::string& ledger, const Line& line, const Digest& hash) {
  TRY_LET(const Rows rows,
          connection.ask("SELECT line, seq, hash FROM derived.watermark WHERE ledger = $1", Parameters().add(ledger)));
  return rows.count() == 1 && rows.integer(0, 0) == line.line && rows.integer(0, 1) == line.size &&
         rows.digest(0, 2) == hash;
}

// In the transaction that has the lock.
Result<std::int64_t> derive_locked(Connection& connection, Past& past, Clock& clock) {
  const std::string& ledger = past.ledger();
  const Line* const line = past.present();
  if (line == nullptr) return Error(ErrorCode::missing, say("district.unknown", {{"ledger", ledger}}));
  TRY_LET(const auto last, past.hash_at(*line, line->size));
  TRY_LET(const bool there, is_derived(connection, ledger, *line, last.value_or(Digest{})));
  if (there) return std::int64_t{0};
  TRY_LET(const Replica replica, Replica::make(past, *line, clock));
  TRY_LET(auto tables, links::Links::open(replica.ledger()));
  TRY(tables.catch_up());
  TRY_LET(const auto all, derived_tables());
  std::int64_t rows = 0;
  for (const DerivedTable& table : all) {
    TRY_LET(const std::int64_t copied, copy_table(connection, tables.database(), table, ledger));
    rows += copied;
  }
  TRY_LET(auto editions, tables.ledger().editions(tables.known_at()));
  TRY(put_lot_reach(connection, ledger, tables, editions));
  TRY(put_gap_counts(connection, ledger, tables, std::move(editions), clock.now()));
  TRY(connection.ask("DELETE FROM derived.watermark WHERE ledger = $1", Parameters().add(ledger)));
  Parameters mark;
  mark.add(ledger).add(line->line).add(line->size).add(ByteView(*last)).add(clock.now()).add(tables.last_at());
  TRY(connection.ask(
      "INSERT INTO derived.watermark (ledger, line, seq, hash, derived, last_at) VALUES ($1, $2, $3, $4, $5, $6)",
      mark));
  return rows;
}

}  // namespace

Result<std::vector<std::string>> behind(Connection& connection) {
  TRY_LET(const Rows rows, connection.ask("SELECT p.ledger FROM (" + present_pasts +
                                          ") p LEFT JOIN derived.watermark w ON w.ledger = p.ledger WHERE w.ledger IS "
                                          "NULL OR w.line <> p.line OR w.seq <> p.size ORDER BY p.ledger"));
  std::vector<std::string> found;
  for (int row = 0; row < rows.count(); ++row) found.emplace_back(rows.text(row, 0));
  return found;
}

Result<std::int64_t> derive(Connection& connection, const std::string& ledger, Clock& clock) {
  TRY_LET(auto transaction, Transaction::begin(connection));
  TRY_LET(auto past, Past::lock(connection, ledger));
  TRY_LET(const std::int64_t rows, derive_locked(connection, past, clock));
  TRY(transaction.commit());
  return rows;
}

Result<std::optional<std::int64_t>> derive_unless_busy(Connection& connection, const std::string& ledger,
                                                       Clock& clock) {
  TRY_LET(auto transaction, Transaction::begin(connection));
  TRY_LET(auto past, Past::try_lock(connection, ledger));
  if (!past) return std::optional<std::int64_t>();
  TRY_LET(const std::int64_t rows, derive_locked(connection, *past, clock));
  TRY(transaction.commit());
  return std::optional(rows);
}

}  // namespace trayproof::registry
