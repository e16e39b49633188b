#include "ledger/store/database.h"

#include <fcntl.h>
#include <sqlite3.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <utility>

#include "ledger/words/words.h"

namespace trayproof::store {
namespace {

constexpr int busy_timeout_ms = 5000;

ErrorCode code_of(int status) {
  switch (status & 0xFF) {
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
    case SQLITE_FORMAT:
      return ErrorCode::corrupt;
    case SQLITE_CONSTRAINT:
      return ErrorCode::conflict;
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_AUTH:
      return ErrorCode::denied;
    default:
      return ErrorCode::unavailable;
  }
}

Error error_of(sqlite3* database, int status) {
  std::string found = database != nullptr ? sqlite3_errmsg(database) : sqlite3_errstr(status);
  if ((status & 0xFF) == SQLITE_BUSY) return {ErrorCode::unavailable, say("store.busy")};
  if ((status & 0xFF) == SQLITE_FULL) return {ErrorCode::unavailable, say("store.full")};
  const int exactly = database != nullptr ? sqlite3_extended_errcode(database) : status;
  if (exactly == SQLITE_READONLY_ROLLBACK) return {ErrorCode::denied, say("store.cut-off-read-only")};
  if (exactly == SQLITE_READONLY_DBMOVED) return {ErrorCode::conflict, say("store.moved")};
  if (exactly == SQLITE_READONLY_DIRECTORY) return {ErrorCode::denied, say("store.folder-read-only")};
  const std::string code = std::to_string(exactly);
  // SQLite tells a disk that cannot be read as damage too.
  if (code_of(status) == ErrorCode::corrupt) {
    const char* const name = database != nullptr ? sqlite3_db_filename(database, "main") : nullptr;
    return {ErrorCode::corrupt,
            say("store.damaged", {{"path", name != nullptr ? name : ""}, {"found", found}, {"code", code}})};
  }
  const int number = database != nullptr ? sqlite3_system_errno(database) : 0;
  if ((status & 0xFF) == SQLITE_CANTOPEN && number != 0) found = std::strerror(number);
  return {code_of(status), say("store.error", {{"found", found}, {"code", code}})};
}

}  // namespace

void Database::Closer::operator()(sqlite3* database) const { sqlite3_close_v2(database); }

Result<Database> Database::open_with(const std::string& path, int flags) {
  sqlite3* raw = nullptr;
  const int status = sqlite3_open_v2(path.c_str(), &raw, flags | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE, nullptr);
  Database database(raw);
  if (status != SQLITE_OK) return error_of(raw, status).during(say("store.opening", {{"path", path}}));
  sqlite3_busy_timeout(raw, busy_timeout_ms);
  // Double-quoted strings, foreign functions in the schema and unchecked references are how a hostile or damaged file
  // would surprise its reader.
  sqlite3_db_config(raw, SQLITE_DBCONFIG_DQS_DML, 0, nullptr);
  sqlite3_db_config(raw, SQLITE_DBCONFIG_DQS_DDL, 0, nullptr);
  sqlite3_db_config(raw, SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
  sqlite3_db_config(raw, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
  sqlite3_db_config(raw, SQLITE_DBCONFIG_ENABLE_FKEY, 1, nullptr);
  return database;
}

Result<Database> Database::open(const std::string& path, Access access) {
  return open_with(path, access == Access::write ? SQLITE_OPEN_READWRITE : SQLITE_OPEN_READONLY);
}
Result<Database> Database::open_or_create(const std::string& path) {
  return open_with(path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
}
Result<Database> Database::create(const std::string& path) {
  // SQLite would open what is there: the name is taken first, by a call that fails when it is not free.
  const int fd = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0644);
  if (fd < 0)
    return Error(errno == EEXIST ? ErrorCode::conflict : ErrorCode::unavailable, path + ": " + std::strerror(errno));
  ::close(fd);
  return open_with(path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
}
Result<Database> Database::in_memory() { return open_with(":memory:", SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE); }

Result<Database> Database::in_memory_of(std::string_view image) {
  TRY_LET(Database database, in_memory());
  auto* const pages = static_cast<unsigned char*>(sqlite3_malloc64(image.size()));
  if (pages == nullptr) return error_of(nullptr, SQLITE_NOMEM);
  std::memcpy(pages, image.data(), image.size());
  const auto bytes = static_cast<sqlite3_int64>(image.size());
  // SQLite frees the pages, also when it does not take them.
  const int status = sqlite3_deserialize(database.database_.get(), "main", pages, bytes, bytes,
                                         SQLITE_DESERIALIZE_FREEONCLOSE | SQLITE_DESERIALIZE_RESIZEABLE);
  if (status != SQLITE_OK) return error_of(database.database_.get(), status);
  return database;
}

Result<std::string> Database::image() {
  sqlite3_int64 bytes = 0;
  const std::unique_ptr<unsigned char, void (*)(void*)> pages(sqlite3_serialize(database_.get(), "main", &bytes, 0),
                                                              sqlite3_free);
  if (pages == nullptr) return error_of(nullptr, SQLITE_NOMEM);
  return std::string(reinterpret_cast<const char*>(pages.get()), static_cast<std::size_t>(bytes));
}

Result<void> Database::run(const std::string& sql) {
  const int status = sqlite3_exec(database_.get(), sql.c_str(), nullptr, nullptr, nullptr);
  if (status != SQLITE_OK) return error_of(database_.get(), status);
  return {};
}

Result<Statement> Database::prepare(std::string_view sql) {
  sqlite3_stmt* raw = nullptr;
  const char* tail = nullptr;
  const int status = sqlite3_prepare_v3(database_.get(), sql.data(), static_cast<int>(sql.size()),
                                        SQLITE_PREPARE_PERSISTENT, &raw, &tail);
  Statement statement(database_.get(), raw);
  if (status != SQLITE_OK) return error_of(database_.get(), status);
  // Words after the first statement would be dropped without a sound.
  CHECK(raw != nullptr &&
        std::string_view(tail, static_cast<std::size_t>(sql.data() + sql.size() - tail)).find_first_not_of(" \n;") ==
            std::string_view::npos);
  return statement;
}

void Database::run_no_triggers() {
  CHECK(sqlite3_db_config(database_.get(), SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, nullptr) == SQLITE_OK);
}

Result<void> Database::begin() {
  if (poisoned_) return Error(ErrorCode::uncertain, say("store.poisoned"));
  TRY(still_there());
  return run("BEGIN IMMEDIATE");
}
Result<void> Database::begin_reading() { return run("BEGIN"); }

Result<void> Database::commit() {
  const int status = sqlite3_exec(database_.get(), "COMMIT", nullptr, nullptr, nullptr);
  if (status == SQLITE_OK) return {};
  Error error = error_of(database_.get(), status);
  // Only a call that failed on the disk leaves it open whether the journal, whose removal is the commit, is gone. Where
  // readers held the file (busy) or it could not grow (full), the journal still holds what was there.
  if ((status & 0xFF) != SQLITE_IOERR) return error;
  poisoned_ = true;
  return Error(ErrorCode::uncertain, say("store.uncertain", {{"found", error.sentence()}}));
}

Result<void> Database::still_there() const {
  int moved = 0;
  sqlite3_file_control(database_.get(), "main", SQLITE_FCNTL_HAS_MOVED, &moved);
  if (moved == 0) return {};
  return Error(ErrorCode::conflict, say("store.moved"));
}

Result<std::uint32_t> Database::change_count() const {
  constexpr sqlite3_int64 place = 24;
  sqlite3_file* file = nullptr;
  int status = sqlite3_file_control(database_.get(), "main", SQLITE_FCNTL_FILE_POINTER, &file);
  std::array<std::uint8_t, 4> bytes{};
  if (status == SQLITE_OK) status = file->pMethods->xRead(file, bytes.data(), static_cast<int>(bytes.size()), place);
  if (status != SQLITE_OK)
    return Error(code_of(status),
                 say("store.error", {{"found", sqlite3_errstr(status)}, {"code", std::to_string(status)}}));
  std::uint32_t count = 0;
  for (const std::uint8_t byte : bytes) count = count << 8U | byte;
  return count;
}

void Database::roll_back() {
  if (in_transaction()) sqlite3_exec(database_.get(), "ROLLBACK", nullptr, nullptr, nullptr);
}
Error Database::failure() const { return error_of(database_.get(), sqlite3_extended_errcode(database_.get())); }
bool Database::in_transaction() const { return database_ && sqlite3_get_autocommit(database_.get()) == 0; }
bool Database::read_only() const { return sqlite3_db_readonly(database_.get(), "main") == 1; }
std::int64_t Database::changes() const { return sqlite3_changes64(database_.get()); }

Statement::Statement(Statement&& other) noexcept
    : database_(other.database_), statement_(std::exchange(other.statement_, nullptr)) {}
Statement& Statement::operator=(Statement&& other) noexcept {
  std::swap(database_, other.database_);
  std::swap(statement_, other.statement_);
  return *this;
}
Statement::~Statement() { sqlite3_finalize(statement_); }

Statement& Statement::bind(int parameter, std::int64_t value) {
  CHECK(sqlite3_bind_int64(statement_, parameter, value) == SQLITE_OK);
  return *this;
}
Statement& Statement::bind(int parameter, double value) {
  CHECK(sqlite3_bind_double(statement_, parameter, value) == SQLITE_OK);
  return *this;
}
Statement& Statement::bind(int parameter, std::string_view text) {
  const char* bytes = text.data() == nullptr ? "" : text.data();  // a null pointer would be bound as NULL
  CHECK(sqlite3_bind_text64(statement_, parameter, bytes, text.size(), SQLITE_TRANSIENT, SQLITE_UTF8) == SQLITE_OK);
  return *this;
}
Statement& Statement::bind(int parameter, ByteView blob) {
  const void* bytes = blob.data() == nullptr ? "" : static_cast<const void*>(blob.data());
  CHECK(sqlite3_bind_blob64(statement_, parameter, bytes, blob.size(), SQLITE_TRANSIENT) == SQLITE_OK);
  return *this;
}
Statement& Statement::bind_view(int parameter, std::string_view text) {
  const char* bytes = text.data() == nullptr ? "" : text.data();
  CHECK(sqlite3_bind_text64(statement_, parameter, bytes, text.size(), SQLITE_STATIC, SQLITE_UTF8) == SQLITE_OK);
  return *this;
}
Statement& Statement::bind_view(int parameter, ByteView blob) {
  const void* bytes = blob.data() == nullptr ? "" : static_cast<const void*>(blob.data());
  CHECK(sqlite3_bind_blob64(statement_, parameter, bytes, blob.size(), SQLITE_STATIC) == SQLITE_OK);
  return *this;
}
Statement& Statement::bind_null(int parameter) {
  CHECK(sqlite3_bind_null(statement_, parameter) == SQLITE_OK);
  return *this;
}

Result<bool> Statement::step() {
  const int status = sqlite3_step(statement_);
  if (status == SQLITE_ROW) return true;
  if (status == SQLITE_DONE) {
    sqlite3_reset(statement_);
    return false;
  }
  Error error = error_of(database_, status);
  sqlite3_reset(statement_);
  return error;
}

Result<void> Statement::run() {
  auto more = step();
  if (!more.ok()) return std::move(more).error();
  if (more.value()) sqlite3_reset(statement_);
  return {};
}

void Statement::reset() { sqlite3_reset(statement_); }

bool Statement::is_null(int column) const { return sqlite3_column_type(statement_, column) == SQLITE_NULL; }
std::int64_t Statement::integer(int column) const { return sqlite3_column_int64(statement_, column); }
double Statement::real(int column) const { return sqlite3_column_double(statement_, column); }
std::string_view Statement::text(int column) const {
  const auto* text = reinterpret_cast<const char*>(sqlite3_column_text(statement_, column));
  return {text == nullptr ? "" : text, static_cast<std::size_t>(sqlite3_column_bytes(statement_, column))};
}
ByteView Statement::blob(int column) const {
  const auto* bytes = static_cast<const std::uint8_t*>(sqlite3_column_blob(statement_, column));
  return {bytes, static_cast<std::size_t>(sqlite3_column_bytes(statement_, column))};
}
std::optional<std::int64_t> Statement::maybe_integer(int column) const {
  if (is_null(column)) return std::nullopt;
  return integer(column);
}
std::optional<double> Statement::maybe_real(int column) const {
  if (is_null(column)) return std::nullopt;
  return real(column);
}
std::optional<std::string> Statement::maybe_text(int column) const {
  if (is_null(column)) return std::nullopt;
  return std::string(text(column));
}

Result<Transaction> Transaction::begin(Database& database) {
  TRY(database.begin());
  return Transaction(&database);
}

Result<Reading> Reading::begin(Database& database) {
  TRY(database.begin_reading());
  return Reading(&database);
}

Result<void> Transaction::commit() {
  Database* database = std::exchange(database_, nullptr);
  auto done = database->commit();
  if (!done.ok()) database->roll_back();
  return done;
}

}  // namespace trayproof::store
