#include "report/register/schema.h"

#include <string_view>

#include "ledger/base/embed.h"
#include "ledger/crypto/hash.h"
#include "ledger/words/words.h"
#include "report/register/derived_tables.h"

TRAYPROOF_EMBED("trayproof_migration_1", TRAYPROOF_MIGRATIONS "/0001.sql");
extern "C" const char trayproof_migration_1[];
extern "C" const char trayproof_migration_1_end[];

namespace trayproof::registry {
namespace {

struct Migration {
  std::int64_t number;
  std::string_view sql;
};

std::vector<Migration> migrations() {
  return {{1, {trayproof_migration_1, static_cast<std::size_t>(trayproof_migration_1_end - trayproof_migration_1)}}};
}

// One `prepare` at a time; the number is that of no ledger, which locks with 63 random bits.
constexpr const char* one_at_a_time = "SELECT pg_advisory_xact_lock(7230100)";

constexpr const char* schemas_and_roles = R"(
CREATE SCHEMA IF NOT EXISTS register;
CREATE SCHEMA IF NOT EXISTS derived;
CREATE TABLE IF NOT EXISTS register.migrations (number bigint PRIMARY KEY, sha256 bytea NOT NULL, applied timestamptz NOT NULL);
DO $$
BEGIN
  IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'trayproof_writer') THEN CREATE ROLE trayproof_writer NOLOGIN; END IF;
  IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'trayproof_reader') THEN CREATE ROLE trayproof_reader NOLOGIN; END IF;
END $$;
)";

// Given anew each time, so that what a hand gave besides does not last.
constexpr const char* grants = R"(
REVOKE ALL ON ALL TABLES IN SCHEMA register, derived FROM PUBLIC, trayproof_writer, trayproof_reader;
GRANT USAGE ON SCHEMA register, derived TO trayproof_writer, trayproof_reader;
GRANT SELECT ON ALL TABLES IN SCHEMA register, derived TO trayproof_writer, trayproof_reader;
GRANT INSERT ON register.ledgers, register.lines, register.entries, register.states, register.deliveries TO trayproof_writer;
GRANT INSERT, DELETE ON ALL TABLES IN SCHEMA derived TO trayproof_writer;
REVOKE INSERT, DELETE ON derived.shape FROM trayproof_writer;
)";

Result<void> must_hold_utf8(Connection& connection) {
  TRY_LET(const Rows rows,
          connection.ask("SELECT pg_encoding_to_char(encoding) FROM pg_database WHERE datname = current_database()"));
  if (rows.count() == 1 && rows.text(0, 0) == "UTF8") return {};
  return Error(ErrorCode::invalid,
               say("district.encoding", {{"found", rows.count() == 1 ? rows.text(0, 0) : std::string_view()}}));
}

Error ahead() { return {ErrorCode::invalid, say("district.schema-ahead")}; }

// A migration that was applied is the one that this program has.
Result<void> is_same(const Rows& applied, const std::vector<Migration>& known) {
  for (int row = 0; row < applied.count(); ++row) {
    const auto place = static_cast<std::size_t>(row);
    if (place >= known.size() || applied.integer(row, 0) != known[place].number ||
        applied.digest(row, 1) != crypto::sha256(as_bytes(known[place].sql)))
      return ahead();
  }
  return {};
}

}  // namespace

Result<Prepared> prepare(Connection& connection, Instant now) {
  Prepared done;
  TRY(must_hold_utf8(connection));
  TRY_LET(auto transaction, Transaction::begin(connection));
  TRY(connection.run(one_at_a_time));
  TRY(connection.run(schemas_and_roles));
  const auto known = migrations();
  TRY_LET(const Rows applied, connection.ask("SELECT number, sha256 FROM register.migrations ORDER BY number"));
  TRY(is_same(applied, known));
  for (auto i = static_cast<std::size_t>(applied.count()); i < known.size(); ++i) {
    TRY(connection.run(std::string(known[i].sql)));
    Parameters row;
    row.add(known[i].number).add(ByteView(crypto::sha256(as_bytes(known[i].sql)))).add(now);
    TRY(connection.ask("INSERT INTO register.migrations VALUES ($1, $2, $3)", row));
    ++done.applied;
  }
  done.number = known.back().number;
  TRY_LET(const std::string shape, derived_shape());
  TRY_LET(const Rows there, connection.ask("SELECT shape FROM derived.shape"));
  if (there.count() == 0 || there.text(0, 0) != shape) {
    TRY(make_derived_tables(connection, shape));
    done.derived_anew = true;
  }
  TRY(connection.run(grants));
  TRY(transaction.commit());
  return done;
}

Result<void> is_prepared(Connection& connection) {
  TRY_LET(const Rows there, connection.ask("SELECT to_regclass('register.migrations') IS NOT NULL"));
  if (there.text(0, 0) != "t") return Error(ErrorCode::invalid, say("district.not-prepared"));
  const auto known = migrations();
  TRY_LET(const Rows applied, connection.ask("SELECT number, sha256 FROM register.migrations ORDER BY number"));
  TRY(is_same(applied, known));
  TRY_LET(const std::string shape, derived_shape());
  TRY_LET(const Rows derived, connection.ask("SELECT shape FROM derived.shape"));
  const bool whole =
      static_cast<std::size_t>(applied.count()) == known.size() && derived.count() == 1 && derived.text(0, 0) == shape;
  return whole ? Result<void>() : Error(ErrorCode::invalid, say("district.behind"));
}

}  // namespace trayproof::registry
