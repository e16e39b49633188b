// PostgreSQL, with every result looked at. This folder is the only one that includes libpq-fe.h.
//
// Errors: unavailable (not reached, gone, out of room), denied (the role may not), conflict (somebody else was first),
// corrupt (damaged pages), uncertain (a commit whose outcome nobody knows), invalid (anything else, which is a fault of
// this program or of a schema that somebody changed).
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "ledger/base/time.h"
#include "report/register/sending.h"

struct pg_conn;
struct pg_result;

namespace trayproof::registry {

// A value for $1, $2, … as text; nothing is NULL.
class Parameters {
 public:
  Parameters& add(std::string_view text);
  Parameters& add(const char* text) { return add(std::string_view(text)); }
  Parameters& add(std::int64_t value);
  Parameters& add(ByteView bytes);  // bytea
  Parameters& add(Instant at);      // timestamptz
  Parameters& add_null();
  template <typename T>
  Parameters& add(const std::optional<T>& value) {
    return value ? add(*value) : add_null();
  }
  const std::vector<std::optional<std::string>>& values() const { return values_; }

 private:
  std::vector<std::optional<std::string>> values_;
};

// Rows of an answer, columns from 0. Views live as long as it does.
class Rows {
 public:
  int count() const;
  int columns() const;
  std::string_view name(int column) const;
  bool is_null(int row, int column) const;
  std::string_view text(int row, int column) const;
  std::int64_t integer(int row, int column) const;
  double real(int row, int column) const;
  Bytes blob(int row, int column) const;
  // 32 bytes of a bytea; zeros where it has another size.
  Digest digest(int row, int column) const;
  std::optional<std::string> maybe_text(int row, int column) const;

 private:
  friend class Connection;
  struct Closer {
    void operator()(pg_result* result) const;
  };
  explicit Rows(pg_result* result) : result_(result) {}
  std::unique_ptr<pg_result, Closer> result_;
};

class Connection {
 public:
  // As libpq reads it: key words and values, or a URI; a password best stands in a file of libpq's.
  static Result<Connection> open(const std::string& conninfo);

  // Several statements without parameters or answers.
  Result<void> run(const std::string& sql);
  Result<Rows> ask(const std::string& sql, const Parameters& parameters = {});
  // The same, row by row, in little memory; `visit` is told the place in `rows`.
  Result<void> each(const std::string& sql, const Parameters& parameters,
                    const std::function<Result<void>(const Rows& rows, int row)>& visit);

  Result<void> begin();
  // Uncertain when the connection is lost meanwhile: ask again whether it was taken.
  Result<void> commit();
  void roll_back();

 private:
  friend class CopyIn;
  struct Closer {
    void operator()(pg_conn* connection) const;
  };
  explicit Connection(pg_conn* connection) : connection_(connection) {}
  Error failure(pg_result* result) const;
  std::unique_ptr<pg_conn, Closer> connection_;
};

// Rolls back when it goes out of scope without `commit`.
class Transaction {
 public:
  static Result<Transaction> begin(Connection& connection);
  Transaction(Transaction&& other) noexcept : connection_(std::exchange(other.connection_, nullptr)) {}
  Transaction& operator=(Transaction&&) = delete;
  ~Transaction() {
    if (connection_ != nullptr) connection_->roll_back();
  }
  Result<void> commit();

 private:
  explicit Transaction(Connection* connection) : connection_(connection) {}
  Connection* connection_;
};

// Rows on their way into a table, in PostgreSQL's binary form; nothing else may be asked of the connection meanwhile.
// Without `finish` they are not taken.
class CopyIn {
 public:
  // `columns` in the order in which each row gives its values: "register.entries (ledger, seq)".
  static Result<CopyIn> begin(Connection& connection, const std::string& columns, int count);
  CopyIn(CopyIn&& other) noexcept;
  CopyIn& operator=(CopyIn&&) = delete;
  ~CopyIn();

  void row();  // begins the next
  void add(std::string_view text) { put(text); }
  void add(ByteView bytes) { put(as_text(bytes)); }
  void add_bigint(std::int64_t value);
  void add_integer(std::int32_t value);
  void add_real(double value);
  void add_time(Instant at);
  void add_null();
  // Has what was gathered sent when it is much; between rows. What fails may be told by a later call.
  Result<void> flush_some();
  Result<void> finish();

 private:
  CopyIn(Connection* connection, int count) : connection_(connection), count_(count) {}
  void put(std::string_view bytes);
  template <typename T>
  void put_number(T value);
  Connection* connection_;
  int count_;
  std::string gathered_;
  std::unique_ptr<Sending> sending_;  // from the first piece on
};

}  // namespace trayproof::registry
