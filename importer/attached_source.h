// A kept export, read piece by piece out of the ledger.
#pragma once

#include "importer/reading/source.h"
#include "ledger/ledger.h"
#include "ledger/store/attachment_stream.h"

namespace trayproof::importer {

class AttachedSource : public reading::Source {
 public:
  static Result<AttachedSource> open(const Ledger& ledger, const Digest& file) {
    TRY_LET(auto reader, store::AttachmentReader::open(ledger.file(), file));
    return AttachedSource(std::move(reader));
  }
  Result<ByteView> next(std::size_t most) override {
    if (at_ == part_.size()) {
      TRY_LET(part_, reader_.next());
      at_ = 0;
    }
    const ByteView out = ByteView(part_).subspan(at_, std::min(most, part_.size() - at_));
    at_ += out.size();
    return out;
  }
  Result<void> rewind() override {
    reader_.rewind();
    part_.clear();
    at_ = 0;
    return {};
  }
  std::optional<std::int64_t> bytes() const override { return reader_.bytes(); }

 private:
  explicit AttachedSource(store::AttachmentReader reader) : reader_(std::move(reader)) {}
  store::AttachmentReader reader_;
  Bytes part_;
  std::size_t at_ = 0;
};

}  // namespace trayproof::importer
