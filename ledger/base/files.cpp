#include "ledger/base/files.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <utility>

namespace trayproof {
namespace {

// base stands below the catalogue: these sentences are the system's own, with the path.
Error system_error(ErrorCode code, const std::string& path, int number) {
  return {code, path + ": " + std::strerror(number)};
}

ErrorCode code_of(int number) {
  if (number == ENOENT || number == ENOTDIR) return ErrorCode::missing;
  if (number == EEXIST) return ErrorCode::conflict;
  if (number == EACCES || number == EPERM || number == EROFS) return ErrorCode::denied;
  return ErrorCode::unavailable;
}

class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_(fd) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (fd_ > 2) ::close(fd_);
  }
  int fd() const { return fd_; }

 private:
  int fd_;
};

Result<void> write_all(int fd, const std::string& path, ByteView bytes) {
  while (!bytes.empty()) {
    const ssize_t written = ::write(fd, bytes.data(), bytes.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return system_error(code_of(errno), path, errno);
    bytes = bytes.subspan(static_cast<std::size_t>(written));
  }
  if (::fsync(fd) != 0) return system_error(ErrorCode::unavailable, path, errno);
  return {};
}

// A file with these bytes under a temporary name beside `path`; the name is returned.
Result<std::string> written_beside(const std::string& path, ByteView bytes, FileMode mode) {
  std::string name = path + ".new-XXXXXX";
  const Descriptor descriptor(::mkostemp(name.data(), O_CLOEXEC));
  if (descriptor.fd() < 0) return system_error(code_of(errno), path, errno);
  Result<void> done = write_all(descriptor.fd(), path, bytes);
  if (done.ok() && ::fchmod(descriptor.fd(), mode == FileMode::owner_only ? 0600 : 0644) != 0) {
    done = system_error(code_of(errno), path, errno);
  }
  if (!done.ok()) {
    ::unlink(name.c_str());
    return std::move(done).error();
  }
  return name;
}

}  // namespace

std::string folder_of(const std::string& path) {
  const std::size_t slash = path.rfind('/');
  if (slash == std::string::npos) return ".";
  return slash == 0 ? "/" : path.substr(0, slash);
}

bool same_file(const std::string& one, const std::string& other) {
  struct stat a {};
  struct stat b {};
  return ::stat(one.c_str(), &a) == 0 && ::stat(other.c_str(), &b) == 0 && a.st_dev == b.st_dev && a.st_ino == b.st_ino;
}

Result<void> sync_folder_of(const std::string& path) {
  const std::string folder = folder_of(path);
  const Descriptor descriptor(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (descriptor.fd() < 0 || ::fsync(descriptor.fd()) != 0) return system_error(code_of(errno), folder, errno);
  return {};
}

bool file_exists(const std::string& path) {
  struct stat info {};
  return ::stat(path.c_str(), &info) == 0;
}

Result<Bytes> read_file(const std::string& path, std::size_t bytes_max) {
  const Descriptor descriptor(path == "-" ? 0 : ::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (descriptor.fd() < 0) return system_error(code_of(errno), path, errno);
  Bytes bytes;
  std::size_t size = 0;
  struct stat info {};
  if (::fstat(descriptor.fd(), &info) == 0 && S_ISDIR(info.st_mode))
    return system_error(ErrorCode::invalid, path, EISDIR);
  while (true) {
    if (bytes.size() - size < 65536) bytes.resize(bytes.size() < 65536 ? 131072 : bytes.size() * 2);
    const ssize_t got = ::read(descriptor.fd(), bytes.data() + size, bytes.size() - size);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return system_error(code_of(errno), path, errno);
    if (got == 0) break;
    size += static_cast<std::size_t>(got);
    if (size > bytes_max) return system_error(ErrorCode::invalid, path, EFBIG);
  }
  bytes.resize(size);
  return bytes;
}

Result<std::string> new_file_beside(const std::string& path) { return written_beside(path, {}, FileMode::owner_only); }

Result<void> make_durable(const std::string& path, FileMode mode) {
  const Descriptor descriptor(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  const bool done = descriptor.fd() >= 0 && ::fsync(descriptor.fd()) == 0 &&
                    (mode == FileMode::owner_only || ::fchmod(descriptor.fd(), 0644) == 0);
  if (!done) return system_error(code_of(errno), path, errno);
  return {};
}

Result<void> rename_new(const std::string& from, const std::string& to) {
  if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) != 0) {
    // Some file systems know no rename without replacing; link does the same in two steps.
    if (errno != EINVAL && errno != ENOSYS) return system_error(code_of(errno), to, errno);
    if (::link(from.c_str(), to.c_str()) != 0) return system_error(code_of(errno), to, errno);
    ::unlink(from.c_str());
  }
  return sync_folder_of(to);
}

Result<void> rename_over(const std::string& from, const std::string& to) {
  if (::rename(from.c_str(), to.c_str()) != 0) return system_error(code_of(errno), to, errno);
  return sync_folder_of(to);
}

Result<void> write_new_file(const std::string& path, ByteView bytes, FileMode mode) {
  if (file_exists(path)) return system_error(ErrorCode::conflict, path, EEXIST);
  TRY_LET(const auto name, written_beside(path, bytes, mode));
  auto renamed = rename_new(name, path);
  if (!renamed.ok()) ::unlink(name.c_str());
  return renamed;
}

Result<void> replace_file(const std::string& path, ByteView bytes, FileMode mode) {
  TRY_LET(const auto name, written_beside(path, bytes, mode));
  if (::rename(name.c_str(), path.c_str()) != 0) {
    const int number = errno;
    ::unlink(name.c_str());
    return system_error(code_of(number), path, number);
  }
  return sync_folder_of(path);
}

FileReader::FileReader(int fd, std::string path, std::optional<std::int64_t> bytes)
    : fd_(fd), path_(std::move(path)), bytes_(bytes) {}

FileReader::FileReader(FileReader&& other) noexcept
    : fd_(std::exchange(other.fd_, -1)), path_(std::move(other.path_)), bytes_(other.bytes_) {}

FileReader::~FileReader() {
  if (fd_ >= 0) ::close(fd_);
}

Result<FileReader> FileReader::open(const std::string& path) {
  const int fd = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
  if (fd < 0) return system_error(code_of(errno), path, errno);
  FileReader reader(fd, path, std::nullopt);
  struct stat about {};
  if (::fstat(fd, &about) != 0) return system_error(code_of(errno), path, errno);
  if (S_ISDIR(about.st_mode)) return system_error(ErrorCode::invalid, path, EISDIR);
  if (S_ISREG(about.st_mode)) reader.bytes_ = static_cast<std::int64_t>(about.st_size);
  return reader;
}

Result<std::size_t> FileReader::read(std::span<std::uint8_t> into) {
  std::size_t filled = 0;
  while (filled < into.size()) {
    const ssize_t got = ::read(fd_, into.data() + filled, into.size() - filled);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return system_error(ErrorCode::unavailable, path_, errno);
    if (got == 0) break;
    filled += static_cast<std::size_t>(got);
  }
  return filled;
}

Result<void> FileReader::rewind() {
  if (::lseek(fd_, 0, SEEK_SET) < 0) return system_error(ErrorCode::unavailable, path_, errno);
  return {};
}

}  // namespace trayproof
