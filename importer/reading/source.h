// Where the bytes of an export come from, piece by piece and, where the file's end refutes what its beginning promised,
// from the beginning again. docs/import-reading.md, "One pass", is the authority.
#pragma once

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <optional>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"

namespace trayproof::reading {

class Source {
 public:
  virtual ~Source() = default;
  // At most `most` bytes, good until the next call; none at the end.
  virtual Result<ByteView> next(std::size_t most) = 0;
  virtual Result<void> rewind() = 0;
  // Where it is known before the end is reached; for telling how far a long reading has come.
  virtual std::optional<std::int64_t> bytes() const = 0;
};

// Bytes that lie in memory, and must outlive it.
class MemorySource : public Source {
 public:
  explicit MemorySource(ByteView bytes) : bytes_(bytes) {}
  Result<ByteView> next(std::size_t most) override {
    const ByteView part = bytes_.subspan(at_, std::min(most, bytes_.size() - at_));
    at_ += part.size();
    return part;
  }
  Result<void> rewind() override {
    at_ = 0;
    return {};
  }
  std::optional<std::int64_t> bytes() const override { return static_cast<std::int64_t>(bytes_.size()); }

 private:
  ByteView bytes_;
  std::size_t at_ = 0;
};

}  // namespace trayproof::reading
