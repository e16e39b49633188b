// A source whose bytes are hashed as they go by. An export is read several times, and must be the same each time.
#pragma once

#include <memory>

#include "importer/reading/source.h"
#include "ledger/crypto/hash.h"

namespace trayproof::importer {

class HashedSource : public reading::Source {
 public:
  explicit HashedSource(reading::Source& source) : source_(source) {}
  // Conflict where the end shows that the bytes are not those of the time before.
  Result<ByteView> next(std::size_t most) override;
  Result<void> rewind() override;
  std::optional<std::int64_t> bytes() const override { return source_.bytes(); }

  struct Whole {
    Digest sha256{};
    std::int64_t bytes = 0;
  };
  // Reads to the end where nobody did.
  Result<Whole> whole();

 private:
  reading::Source& source_;
  std::unique_ptr<crypto::Sha256Stream> hash_;  // of what went by since the beginning; null behind the end
  std::int64_t passed_ = 0;
  std::optional<Whole> whole_;
};

}  // namespace trayproof::importer
