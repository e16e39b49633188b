#include "tests/crash/calls.h"

#include <fcntl.h>
#include <linux/fs.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <cstdarg>
#include <cstdio>
#include <cstring>

namespace trayproof::tests {
namespace {

std::atomic<Watcher*> watching{nullptr};

// The frame of every call: asked before, told after. `make` does the system call and gives what it returns.
template <typename Make>
long through(Call call, Make make) {
  Watcher* const watcher = watching.load();
  if (watcher == nullptr) return make();
  const Verdict verdict = watcher->before(call);
  if (verdict.error != 0 && !verdict.made_all_the_same) {
    errno = verdict.error;
    return -1;
  }
  const long result = make();
  if (result < 0) return result;
  const int number = errno;
  if (call.sort == CallSort::open || call.sort == CallSort::create) call.fd = static_cast<int>(result);
  if (call.sort == CallSort::write) call.size = static_cast<std::size_t>(result);
  watcher->after(call);
  errno = number;
  if (verdict.error == 0) return result;
  if (call.sort == CallSort::open || call.sort == CallSort::create) ::syscall(SYS_close, static_cast<int>(result));
  errno = verdict.error;
  return -1;
}

int opened(const char* path, int flags, unsigned mode) {
  struct stat info {};
  const bool makes = (flags & O_CREAT) != 0 && ::lstat(path, &info) != 0;
  return static_cast<int>(through({.sort = makes ? CallSort::create : CallSort::open, .path = path},
                                  [&] { return ::syscall(SYS_openat, AT_FDCWD, path, flags, mode); }));
}

bool is_folder(int fd) {
  struct stat info {};
  return ::fstat(fd, &info) == 0 && S_ISDIR(info.st_mode);
}

int synced(int fd, long number) {
  return static_cast<int>(through({.sort = is_folder(fd) ? CallSort::sync_folder : CallSort::sync, .fd = fd},
                                  [&] { return ::syscall(number, fd); }));
}

ssize_t written_at(int fd, const void* bytes, std::size_t size, std::int64_t offset) {
  return through({.sort = CallSort::write, .fd = fd, .bytes = bytes, .size = size, .offset = offset},
                 [&] { return ::syscall(SYS_pwrite64, fd, bytes, size, offset); });
}

ssize_t read_at(int fd, void* bytes, std::size_t size, std::int64_t offset) {
  return through({.sort = CallSort::read, .fd = fd, .size = size, .offset = offset},
                 [&] { return ::syscall(SYS_pread64, fd, bytes, size, offset); });
}

int truncated(int fd, std::int64_t size) {
  return static_cast<int>(through({.sort = CallSort::truncate, .fd = fd, .offset = size},
                                  [&] { return ::syscall(SYS_ftruncate, fd, size); }));
}

int control(int fd, int command, void* argument) {
  const auto make = [&] { return ::syscall(SYS_fcntl, fd, command, argument); };
  if (command != F_SETLK && command != F_SETLKW) return static_cast<int>(make());
  return static_cast<int>(through({.sort = CallSort::lock, .fd = fd}, make));
}

int removed(const char* path) {
  return static_cast<int>(
      through({.sort = CallSort::remove, .path = path}, [&] { return ::syscall(SYS_unlink, path); }));
}

int renamed(const char* from, const char* to, unsigned flags) {
  return static_cast<int>(through({.sort = CallSort::rename, .path = from, .to = to},
                                  [&] { return ::syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, flags); }));
}

}  // namespace

void watch(Watcher* watcher) { watching.store(watcher); }

bool path_of(int fd, char* path, std::size_t size) {
  char link[32];
  std::snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
  const ssize_t length = ::readlink(link, path, size - 1);
  if (length <= 0 || path[0] != '/') return false;
  path[length] = '\0';
  return true;
}

}  // namespace trayproof::tests

// The names of the C library. Those with 64 are what SQLite calls; on this machine the two sorts are the same.
namespace calls = trayproof::tests;

extern "C" {

int open(const char* path, int flags, ...) {
  std::va_list rest;
  va_start(rest, flags);
  const unsigned mode = (flags & O_CREAT) != 0 ? va_arg(rest, unsigned) : 0;
  va_end(rest);
  return calls::opened(path, flags, mode);
}
int open64(const char* path, int flags, ...) {
  std::va_list rest;
  va_start(rest, flags);
  const unsigned mode = (flags & O_CREAT) != 0 ? va_arg(rest, unsigned) : 0;
  va_end(rest);
  return calls::opened(path, flags, mode);
}
int mkostemp(char* pattern, int flags) {
  char* const letters = pattern + std::strlen(pattern) - 6;
  for (unsigned attempt = 0; attempt < 1000; ++attempt) {
    static std::atomic<unsigned> made{0};
    const unsigned number = (static_cast<unsigned>(::getpid()) * 1009U + made++) % 1'000'000U;
    char digits[8];
    std::snprintf(digits, sizeof digits, "%06u", number);
    std::memcpy(letters, digits, 6);
    const int fd = calls::opened(pattern, flags | O_RDWR | O_CREAT | O_EXCL, 0600);
    if (fd >= 0 || errno != EEXIST) return fd;
  }
  return -1;
}
int fsync(int fd) { return calls::synced(fd, SYS_fsync); }
int fdatasync(int fd) { return calls::synced(fd, SYS_fdatasync); }
ssize_t pwrite(int fd, const void* bytes, size_t size, off_t offset) {
  return calls::written_at(fd, bytes, size, offset);
}
ssize_t pwrite64(int fd, const void* bytes, size_t size, off64_t offset) {
  return calls::written_at(fd, bytes, size, offset);
}
ssize_t pread(int fd, void* bytes, size_t size, off_t offset) { return calls::read_at(fd, bytes, size, offset); }
ssize_t pread64(int fd, void* bytes, size_t size, off64_t offset) { return calls::read_at(fd, bytes, size, offset); }
ssize_t write(int fd, const void* bytes, size_t size) {
  const auto offset = ::syscall(SYS_lseek, fd, 0, SEEK_CUR);
  return calls::through({.sort = calls::CallSort::write, .fd = fd, .bytes = bytes, .size = size, .offset = offset},
                        [&] { return ::syscall(SYS_write, fd, bytes, size); });
}
ssize_t read(int fd, void* bytes, size_t size) {
  return calls::through({.sort = calls::CallSort::read, .fd = fd, .size = size},
                        [&] { return ::syscall(SYS_read, fd, bytes, size); });
}
int ftruncate(int fd, off_t size) noexcept { return calls::truncated(fd, size); }
int ftruncate64(int fd, off64_t size) noexcept { return calls::truncated(fd, size); }
int unlink(const char* path) noexcept { return calls::removed(path); }
int remove(const char* path) noexcept { return calls::removed(path); }
int rename(const char* from, const char* to) noexcept { return calls::renamed(from, to, 0); }
int renameat2(int, const char* from, int, const char* to, unsigned flags) noexcept {
  return calls::renamed(from, to, flags);
}
int fcntl(int fd, int command, ...) {
  std::va_list rest;
  va_start(rest, command);
  void* const argument = va_arg(rest, void*);
  va_end(rest);
  return calls::control(fd, command, argument);
}
int fcntl64(int fd, int command, ...) {
  std::va_list rest;
  va_start(rest, command);
  void* const argument = va_arg(rest, void*);
  va_end(rest);
  return calls::control(fd, command, argument);
}

}  // extern "C"
