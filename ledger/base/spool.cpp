#include "ledger/base/spool.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <utility>

#include "ledger/base/check.h"
#include "ledger/base/files.h"

namespace trayproof {
namespace {

// base stands below the catalogue: these sentences are the system's own, with the folder.
Error system_error(const std::string& beside, int number) {
  return {ErrorCode::unavailable, folder_of(beside) + ": " + std::strerror(number)};
}

}  // namespace

Spool::Spool(Spool&& other) noexcept
    : beside_(std::move(other.beside_)),
      pieces_(std::move(other.pieces_)),
      memory_(std::move(other.memory_)),
      fd_(std::exchange(other.fd_, -1)),
      filed_(other.filed_) {}

Spool& Spool::operator=(Spool&& other) noexcept {
  std::swap(beside_, other.beside_);
  std::swap(pieces_, other.pieces_);
  std::swap(memory_, other.memory_);
  std::swap(fd_, other.fd_);
  std::swap(filed_, other.filed_);
  return *this;
}

Spool::~Spool() {
  if (fd_ >= 0) ::close(fd_);
}

Result<void> Spool::open_file() {
  fd_ = ::open(folder_of(beside_).c_str(), O_TMPFILE | O_RDWR | O_CLOEXEC, 0600);
  if (fd_ >= 0) return {};
  // Some file systems know no file without a name: it loses its name at once.
  std::string name = beside_ + ".spool-XXXXXX";
  fd_ = ::mkostemp(name.data(), O_CLOEXEC);
  if (fd_ < 0) return system_error(beside_, errno);
  ::unlink(name.c_str());
  return {};
}

Result<void> Spool::add(ByteView piece) {
  if (filed_ == 0 && memory_.size() + piece.size() <= memory_most) {
    pieces_.push_back({static_cast<std::int64_t>(memory_.size()), piece.size(), false});
    memory_.insert(memory_.end(), piece.begin(), piece.end());
    return {};
  }
  if (fd_ < 0) TRY(open_file());
  const Piece put{filed_, piece.size(), true};
  while (!piece.empty()) {
    const ssize_t written = ::pwrite(fd_, piece.data(), piece.size(), filed_);
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return system_error(beside_, errno);
    filed_ += written;
    piece = piece.subspan(static_cast<std::size_t>(written));
  }
  pieces_.push_back(put);
  return {};
}

Result<Bytes> Spool::at(std::size_t i) const {
  CHECK(i < pieces_.size());
  const Piece& piece = pieces_[i];
  if (!piece.filed) {
    const auto begin = memory_.begin() + piece.offset;
    return Bytes(begin, begin + static_cast<std::ptrdiff_t>(piece.size));
  }
  Bytes out(piece.size);
  std::size_t got = 0;
  while (got < out.size()) {
    const ssize_t read =
        ::pread(fd_, out.data() + got, out.size() - got, piece.offset + static_cast<std::int64_t>(got));
    if (read < 0 && errno == EINTR) continue;
    if (read <= 0) return system_error(beside_, read < 0 ? errno : EIO);
    got += static_cast<std::size_t>(read);
  }
  return out;
}

void Spool::clear() {
  pieces_.clear();
  memory_.clear();
  filed_ = 0;
}

}  // namespace trayproof
