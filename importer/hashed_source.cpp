#include "importer/hashed_source.h"

#include "ledger/words/words.h"

namespace trayproof::importer {

Result<void> HashedSource::rewind() {
  hash_ = std::make_unique<crypto::Sha256Stream>();
  passed_ = 0;
  return source_.rewind();
}

Result<ByteView> HashedSource::next(std::size_t most) {
  TRY_LET(const ByteView part, source_.next(most));
  if (hash_ == nullptr) return part;
  if (!part.empty()) {
    hash_->feed(part);
    passed_ += static_cast<std::int64_t>(part.size());
    return part;
  }
  const Whole now{hash_->finish(), passed_};
  hash_ = nullptr;
  if (whole_ && whole_->sha256 != now.sha256) return Error(ErrorCode::conflict, say("importer.file-changed"));
  whole_ = now;
  return part;
}

Result<HashedSource::Whole> HashedSource::whole() {
  if (whole_) return *whole_;
  TRY(rewind());
  while (true) {
    TRY_LET(const ByteView part, next(std::size_t{1} << 18));
    if (part.empty()) return *whole_;
  }
}

}  // namespace trayproof::importer
