// SQLite, with every result code looked at. This folder is the only one that includes sqlite3.h.
//
// Errors: unavailable (locked, disk, permission), corrupt (no database, damaged pages), missing (no such file).
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"

struct sqlite3;
struct sqlite3_stmt;

namespace trayproof::store {

// One prepared statement. Parameters are numbered from 1, columns from 0. Texts and blobs read from a column live until
// the next step or reset.
class Statement {
 public:
  Statement(Statement&& other) noexcept;
  Statement& operator=(Statement&& other) noexcept;
  Statement(const Statement&) = delete;
  Statement& operator=(const Statement&) = delete;
  ~Statement();

  Statement& bind(int parameter, std::int64_t value);
  Statement& bind(int parameter, int value) { return bind(parameter, static_cast<std::int64_t>(value)); }
  Statement& bind(int parameter, double value);
  Statement& bind(int parameter, std::string_view text);  // copied
  Statement& bind(int parameter, const char* text) { return bind(parameter, std::string_view(text)); }
  Statement& bind(int parameter, ByteView blob);  // copied
  Statement& bind_null(int parameter);
  template <typename T>
  Statement& bind(int parameter, const std::optional<T>& value) {
    if (!value.has_value()) return bind_null(parameter);
    return bind(parameter, value.value());
  }
  // Not copied: `text` must outlive the step.
  Statement& bind_view(int parameter, std::string_view text);
  Statement& bind_view(int parameter, ByteView blob);

  // True: there is a row. False: done. Resets by itself when done or failed.
  Result<bool> step();
  // For statements that give no row.
  Result<void> run();
  void reset();

  bool is_null(int column) const;
  std::int64_t integer(int column) const;
  double real(int column) const;
  std::string_view text(int column) const;
  ByteView blob(int column) const;
  std::optional<std::int64_t> maybe_integer(int column) const;
  std::optional<double> maybe_real(int column) const;
  std::optional<std::string> maybe_text(int column) const;

 private:
  friend class Database;
  Statement(sqlite3* database, sqlite3_stmt* statement) : database_(database), statement_(statement) {}
  sqlite3* database_ = nullptr;
  sqlite3_stmt* statement_ = nullptr;
};

enum class Access { read, write };

class Database {
 public:
  // An existing file; never creates one.
  static Result<Database> open(const std::string& path, Access access);
  // A file that may or may not be there; for tables that can be derived again.
  static Result<Database> open_or_create(const std::string& path);
  // A new file; conflict when there is one.
  static Result<Database> create(const std::string& path);
  static Result<Database> in_memory();
  // In memory, with what stood in the database that `image` was taken of.
  static Result<Database> in_memory_of(std::string_view image);
  // All of its pages.
  Result<std::string> image();

  Database(Database&&) noexcept = default;
  Database& operator=(Database&&) noexcept = default;

  // Several statements without results.
  Result<void> run(const std::string& sql);
  Result<Statement> prepare(std::string_view sql);
  // From now on this connection runs no triggers: for the one writer that checks by itself what they check against other
  // hands, and that must not run what another hand planted. (For one statement alone it cannot be asked for: each change
  // of the setting makes SQLite prepare all statements again, under the setting of that moment.)
  void run_no_triggers();

  // Takes the write lock at once. Uncertain on a handle that is poisoned, conflict when the file is no longer there.
  Result<void> begin();
  Result<void> begin_reading();  // see Reading
  // After an error that leaves the outcome open the code is `uncertain`, and the handle is poisoned.
  Result<void> commit();
  // A commit of unknown outcome was seen: nothing more is written until the file is opened again.
  bool poisoned() const { return poisoned_; }
  void roll_back();
  bool in_transaction() const;
  // Conflict when the name now means another file, or none: what is read and written here would be nobody's.
  Result<void> still_there() const;
  // How many transactions have changed the file, as it counts by itself, modulo 2^32
  // (https://www.sqlite.org/fileformat.html, 1.3.7). Asks for no lock and waits for nobody: outside of a reading it may
  // be the count of a commit that is not whole yet.
  Result<std::uint32_t> change_count() const;
  // Opened for writing, yet the machine allows reading only.
  bool read_only() const;
  // Rows changed by the last statement.
  std::int64_t changes() const;
  // Everything of `from`, whose other connections go on writing; see copy.h.
  Result<void> copy_pages_from(Database& from);

 private:
  Error failure() const;  // the last one of this connection
  struct Closer {
    void operator()(sqlite3* database) const;
  };
  explicit Database(sqlite3* database) : database_(database) {}
  static Result<Database> open_with(const std::string& path, int flags);
  std::unique_ptr<sqlite3, Closer> database_;
  bool poisoned_ = false;
};

// Rolls back when it goes out of scope without `commit`.
class Transaction {
 public:
  static Result<Transaction> begin(Database& database);
  Transaction(Transaction&& other) noexcept : database_(std::exchange(other.database_, nullptr)) {}
  Transaction& operator=(Transaction&&) = delete;
  ~Transaction() {
    if (database_ != nullptr) database_->roll_back();
  }
  Result<void> commit();

 private:
  explicit Transaction(Database* database) : database_(database) {}
  Database* database_;
};

// What is read until it goes out of scope is of one moment. Writers wait meanwhile: keep it short.
class Reading {
 public:
  static Result<Reading> begin(Database& database);
  Reading(Reading&& other) noexcept : database_(std::exchange(other.database_, nullptr)) {}
  Reading& operator=(Reading&&) = delete;
  ~Reading() {
    if (database_ != nullptr) database_->roll_back();
  }

 private:
  explicit Reading(Database* database) : database_(database) {}
  Database* database_;
};

}  // namespace trayproof::store
