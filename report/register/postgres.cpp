#include "report/register/postgres.h"

#include <libpq-fe.h>

#include <algorithm>
#include <array>
#include <bit>
#include <charconv>
#include <cstring>

#include "ledger/words/words.h"

namespace trayproof::registry {
namespace {

// Several lines of the library as one.
std::string one_line(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '\n' || c == '\t') {
      if (!out.empty() && out.back() != ' ') out += ' ';
    } else {
      out += c;
    }
  }
  while (out.ends_with(' ')) out.pop_back();
  return out;
}

// PostgreSQL, appendix A: the first two digits of a code are its class.
ErrorCode code_of(std::string_view state) {
  const std::string_view sort = state.substr(0, 2);
  if (state == "42501" || state == "25006" || sort == "28") return ErrorCode::denied;
  if (sort == "23" || sort == "40" || state == "55P03") return ErrorCode::conflict;
  if (sort == "08" || sort == "53" || sort == "55" || sort == "57" || sort == "58") return ErrorCode::unavailable;
  if (state == "XX001" || state == "XX002") return ErrorCode::corrupt;
  return ErrorCode::invalid;
}

void ignore_notice(void*, const char*) {}

std::string hex_text(ByteView bytes) { return "\\x" + hex(bytes); }

// An answer that is looked at and not handed on.
class Answer {
 public:
  explicit Answer(PGresult* result) : result_(result) {}
  ~Answer() { PQclear(result_); }
  Answer(const Answer&) = delete;
  Answer& operator=(const Answer&) = delete;
  PGresult* get() const { return result_; }
  ExecStatusType status() const { return PQresultStatus(result_); }

 private:
  PGresult* result_;
};

}  // namespace

Parameters& Parameters::add(std::string_view text) {
  values_.emplace_back(std::string(text));
  return *this;
}
Parameters& Parameters::add(std::int64_t value) { return add(std::to_string(value)); }
Parameters& Parameters::add(ByteView bytes) { return add(hex_text(bytes)); }
Parameters& Parameters::add(Instant at) { return add(format_recorded(at)); }
Parameters& Parameters::add_null() {
  values_.emplace_back();
  return *this;
}

void Rows::Closer::operator()(pg_result* result) const { PQclear(result); }
int Rows::count() const { return PQntuples(result_.get()); }
int Rows::columns() const { return PQnfields(result_.get()); }
std::string_view Rows::name(int column) const { return PQfname(result_.get(), column); }
bool Rows::is_null(int row, int column) const { return PQgetisnull(result_.get(), row, column) != 0; }
std::string_view Rows::text(int row, int column) const {
  return {PQgetvalue(result_.get(), row, column), static_cast<std::size_t>(PQgetlength(result_.get(), row, column))};
}
std::int64_t Rows::integer(int row, int column) const {
  const std::string_view found = text(row, column);
  std::int64_t value = 0;
  std::from_chars(found.data(), found.data() + found.size(), value);
  return value;
}
double Rows::real(int row, int column) const {
  const std::string_view found = text(row, column);
  double value = 0;
  std::from_chars(found.data(), found.data() + found.size(), value);
  return value;
}
Bytes Rows::blob(int row, int column) const {
  std::string_view found = text(row, column);
  if (found.starts_with("\\x")) found.remove_prefix(2);
  return from_hex(found).value_or(Bytes());
}
Digest Rows::digest(int row, int column) const {
  Digest out{};
  const Bytes found = blob(row, column);
  if (found.size() == out.size()) std::copy(found.begin(), found.end(), out.begin());
  return out;
}
std::optional<std::string> Rows::maybe_text(int row, int column) const {
  if (is_null(row, column)) return std::nullopt;
  return std::string(text(row, column));
}

void Connection::Closer::operator()(pg_conn* connection) const { PQfinish(connection); }

// A connection that is gone gives no code.
Error Connection::failure(pg_result* result) const {
  const char* state = result == nullptr ? nullptr : PQresultErrorField(result, PG_DIAG_SQLSTATE);
  const char* said = result == nullptr ? nullptr : PQresultErrorField(result, PG_DIAG_MESSAGE_PRIMARY);
  const std::string why = one_line(said != nullptr ? said : PQerrorMessage(connection_.get()));
  if (state == nullptr || PQstatus(connection_.get()) != CONNECTION_OK)
    return {ErrorCode::unavailable, say("district.lost", {{"why", why}})};
  const bool may_not = std::string_view(state) == "42501";
  return {code_of(state), say(may_not ? "district.denied" : "district.failed", {{"why", why}, {"code", state}})};
}

Result<Connection> Connection::open(const std::string& conninfo) {
  const char* const words[] = {"dbname", "fallback_application_name", "client_encoding", "options", nullptr};
  const char* const values[] = {conninfo.c_str(), "trayproof", "UTF8",
                                "-c timezone=UTC -c datestyle=ISO -c jit=off -c work_mem=64MB", nullptr};
  constexpr int dbname_is_conninfo = 1;
  Connection connection(PQconnectdbParams(words, values, dbname_is_conninfo));
  if (PQstatus(connection.connection_.get()) != CONNECTION_OK) {
    return Error(ErrorCode::unavailable,
                 say("district.unreached", {{"why", one_line(PQerrorMessage(connection.connection_.get()))}}));
  }
  PQsetNoticeProcessor(connection.connection_.get(), &ignore_notice, nullptr);
  return connection;
}

Result<void> Connection::run(const std::string& sql) {
  const Answer answer(PQexec(connection_.get(), sql.c_str()));
  const ExecStatusType status = answer.status();
  if (status == PGRES_COMMAND_OK || status == PGRES_TUPLES_OK || status == PGRES_EMPTY_QUERY) return {};
  return failure(answer.get());
}

namespace {

std::vector<const char*> pointers(const Parameters& parameters) {
  std::vector<const char*> out;
  for (const auto& one : parameters.values()) out.push_back(one ? one->c_str() : nullptr);
  return out;
}

}  // namespace

Result<Rows> Connection::ask(const std::string& sql, const Parameters& parameters) {
  const auto values = pointers(parameters);
  Rows rows(PQexecParams(connection_.get(), sql.c_str(), static_cast<int>(values.size()), nullptr, values.data(),
                         nullptr, nullptr, 0));
  const ExecStatusType status = PQresultStatus(rows.result_.get());
  if (status == PGRES_TUPLES_OK || status == PGRES_COMMAND_OK) return rows;
  return failure(rows.result_.get());
}

Result<void> Connection::each(const std::string& sql, const Parameters& parameters,
                              const std::function<Result<void>(const Rows& rows, int row)>& visit) {
  const auto values = pointers(parameters);
  pg_conn* const connection = connection_.get();
  if (PQsendQueryParams(connection, sql.c_str(), static_cast<int>(values.size()), nullptr, values.data(), nullptr,
                        nullptr, 0) == 0 ||
      PQsetSingleRowMode(connection) == 0)
    return failure(nullptr);
  Result<void> outcome;
  // Whatever happens, all answers are taken off the connection.
  while (PGresult* const next = PQgetResult(connection)) {
    const Rows rows(next);
    const ExecStatusType status = PQresultStatus(next);
    if (!outcome.ok()) continue;
    if (status == PGRES_SINGLE_TUPLE) {
      outcome = visit(rows, 0);
    } else if (status != PGRES_TUPLES_OK) {
      outcome = failure(next);
    }
  }
  return outcome;
}

Result<void> Connection::begin() { return run("BEGIN"); }

Result<void> Connection::commit() {
  const Answer answer(PQexec(connection_.get(), "COMMIT"));
  if (answer.status() == PGRES_COMMAND_OK) {
    // A transaction that failed before ends in a roll-back, and says so here only.
    if (std::string_view(PQcmdStatus(answer.get())) == "COMMIT") return {};
    return Error(ErrorCode::conflict, say("district.rolled-back-commit"));
  }
  if (PQstatus(connection_.get()) == CONNECTION_OK) return failure(answer.get());
  return Error(ErrorCode::uncertain, say("district.uncertain"));
}

// Where the connection is lost the server does it by itself.
void Connection::roll_back() {
  if (PQtransactionStatus(connection_.get()) == PQTRANS_IDLE) return;
  const Answer answer(PQexec(connection_.get(), "ROLLBACK"));
}

Result<Transaction> Transaction::begin(Connection& connection) {
  TRY(connection.begin());
  return Transaction(&connection);
}

Result<void> Transaction::commit() { return std::exchange(connection_, nullptr)->commit(); }

namespace {

constexpr std::size_t gathered_most = std::size_t{128} << 10;
// 1970-01-01 to 2000-01-01, from which PostgreSQL counts.
constexpr std::int64_t epoch_ms = 946'684'800'000;

}  // namespace

Result<CopyIn> CopyIn::begin(Connection& connection, const std::string& columns, int count) {
  const Answer answer(
      PQexec(connection.connection_.get(), ("COPY " + columns + " FROM STDIN (FORMAT binary)").c_str()));
  if (answer.status() != PGRES_COPY_IN) return connection.failure(answer.get());
  CopyIn copy(&connection, count);
  constexpr std::string_view head("PGCOPY\n\377\r\n\0\0\0\0\0\0\0\0\0", 19);
  copy.gathered_ = head;
  return copy;
}

CopyIn::CopyIn(CopyIn&& other) noexcept
    : connection_(std::exchange(other.connection_, nullptr)),
      count_(other.count_),
      gathered_(std::move(other.gathered_)),
      sending_(std::move(other.sending_)) {}

CopyIn::~CopyIn() {
  if (connection_ == nullptr) return;
  sending_.reset();
  pg_conn* const connection = connection_->connection_.get();
  PQputCopyEnd(connection, "given up");
  while (PGresult* const next = PQgetResult(connection)) PQclear(next);
}

template <typename T>
void CopyIn::put_number(T value) {
  const auto bits = static_cast<std::make_unsigned_t<T>>(value);
  std::array<char, sizeof(T)> bytes;
  for (std::size_t i = 0; i < sizeof(T); ++i) bytes[i] = static_cast<char>(bits >> 8 * (sizeof(T) - 1 - i) & 0xFF);
  gathered_.append(bytes.data(), bytes.size());
}

void CopyIn::put(std::string_view bytes) {
  put_number(static_cast<std::int32_t>(bytes.size()));
  gathered_ += bytes;
}

void CopyIn::row() { put_number(static_cast<std::int16_t>(count_)); }
void CopyIn::add_bigint(std::int64_t value) { put_number(std::int32_t{8}), put_number(value); }
void CopyIn::add_integer(std::int32_t value) { put_number(std::int32_t{4}), put_number(value); }
void CopyIn::add_real(double value) { put_number(std::int32_t{8}), put_number(std::bit_cast<std::int64_t>(value)); }
void CopyIn::add_time(Instant at) { add_bigint((at.ms - epoch_ms) * 1000); }
void CopyIn::add_null() { put_number(std::int32_t{-1}); }

Result<void> CopyIn::flush_some() {
  if (gathered_.size() < gathered_most) return {};
  if (!sending_) sending_ = std::make_unique<Sending>(connection_->connection_.get());
  return sending_->put(gathered_) ? Result<void>() : connection_->failure(nullptr);
}

Result<void> CopyIn::finish() {
  put_number(std::int16_t{-1});
  const bool sent = !sending_ || sending_->finish();
  sending_.reset();
  if (!sent || PQputCopyData(connection_->connection_.get(), gathered_.data(), static_cast<int>(gathered_.size())) != 1)
    return connection_->failure(nullptr);
  Connection* const connection = std::exchange(connection_, nullptr);
  if (PQputCopyEnd(connection->connection_.get(), nullptr) != 1) return connection->failure(nullptr);
  Result<void> outcome;
  while (PGresult* const next = PQgetResult(connection->connection_.get())) {
    const Answer answer(next);
    if (outcome.ok() && answer.status() != PGRES_COMMAND_OK) outcome = connection->failure(next);
  }
  return outcome;
}

}  // namespace trayproof::registry
