// Pieces of bytes set aside until they are wanted again: the first in memory, and where these are too many the rest in
// a file without a name, which is gone with the process however it ends.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"

namespace trayproof {

class Spool {
 public:
  // A short export needs no file; of a long one two stand beside each other, which shall not fill the memory.
  static constexpr std::size_t memory_most = std::size_t{1} << 20;

  // The file lies in the folder of `beside`, made when it is needed.
  explicit Spool(std::string beside) : beside_(std::move(beside)) {}
  Spool(Spool&& other) noexcept;
  Spool& operator=(Spool&& other) noexcept;
  ~Spool();

  Result<void> add(ByteView piece);
  Result<Bytes> at(std::size_t i) const;
  std::size_t size() const { return pieces_.size(); }
  // Forgets all pieces.
  void clear();

 private:
  struct Piece {
    std::int64_t offset = 0;
    std::size_t size = 0;
    bool filed = false;
  };
  Result<void> open_file();

  std::string beside_;
  std::vector<Piece> pieces_;
  Bytes memory_;
  int fd_ = -1;
  std::int64_t filed_ = 0;  // bytes in the file
};

}  // namespace trayproof
