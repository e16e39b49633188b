#include "ledger/store/copy.h"

#include <fcntl.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "ledger/base/files.h"
#include "ledger/words/words.h"

namespace trayproof::store {

// Pages in portions (https://www.sqlite.org/backup.html): a portion holds the read lock for some milliseconds. When
// another connection commits in between, SQLite begins the copy again by itself, and more pages remain than before.
Result<void> Database::copy_pages_from(Database& from) {
  constexpr int portion_pages = 2048;  // 8 MiB
  constexpr int restarts_max = 3;
  constexpr int refused_max = 6;  // each after the connection's own patience of five seconds
  sqlite3_backup* copy = sqlite3_backup_init(database_.get(), "main", from.database_.get(), "main");
  if (copy == nullptr) return failure();
  int restarts = 0;
  int refused = 0;
  int remaining = 0;
  int status = SQLITE_OK;
  const auto held = [&] { return status == SQLITE_BUSY || status == SQLITE_LOCKED; };
  while (status == SQLITE_OK || (held() && ++refused < refused_max)) {
    const int before = remaining;
    status = sqlite3_backup_step(copy, restarts < restarts_max ? portion_pages : -1);
    remaining = sqlite3_backup_remaining(copy);
    if (status == SQLITE_OK && before != 0 && remaining >= before) ++restarts;
  }
  sqlite3_backup_finish(copy);
  if (held()) return Error(ErrorCode::unavailable, say("store.busy"));
  if (status != SQLITE_DONE) return failure();
  return {};
}

namespace {

// To the disk, and out of the machine's memory, so that a check after it reads the medium.
Result<void> settle(const std::string& path) {
  const int fd = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
  const bool synced = fd >= 0 && ::fsync(fd) == 0;
  const int number = errno;
  if (synced)
    ::posix_fadvise(fd, 0, 0, POSIX_FADV_DONTNEED);  // advice: a machine that does not follow it loses nothing
  if (fd >= 0) ::close(fd);
  if (!synced) return Error(ErrorCode::unavailable, path + ": " + std::strerror(number));
  return {};
}

Result<void> copy_into(Database& from, const std::string& to) {
  TRY_LET(auto made, Database::create(to));
  ::chmod(to.c_str(), 0600);  // a stick without permissions (FAT) is as open as it is
  // One new file and nobody else who opens it: a journal would only be written twice.
  TRY(made.run("PRAGMA journal_mode = MEMORY"));
  return made.copy_pages_from(from);
}

}  // namespace

Result<void> copy_online(Database& from, const std::string& to) {
  if (file_exists(to)) return Error(ErrorCode::conflict, to + ": " + std::strerror(EEXIST));
  auto done = copy_into(from, to);
  if (done.ok()) done = settle(to);
  if (!done.ok() && done.error().code() != ErrorCode::conflict) ::unlink(to.c_str());
  return done;
}

}  // namespace trayproof::store
