// An export that lies on the disk, read piece by piece.
#pragma once

#include <string>

#include "importer/reading/source.h"
#include "ledger/base/files.h"

namespace trayproof::reading {

class FileSource : public Source {
 public:
  static Result<FileSource> open(const std::string& path) {
    TRY_LET(auto reader, FileReader::open(path));
    return FileSource(std::move(reader));
  }
  Result<ByteView> next(std::size_t most) override {
    if (buffer_.size() < most) buffer_.resize(most);
    TRY_LET(const std::size_t got, reader_.read({buffer_.data(), most}));
    return ByteView(buffer_).first(got);
  }
  Result<void> rewind() override { return reader_.rewind(); }
  std::optional<std::int64_t> bytes() const override { return reader_.bytes(); }

 private:
  explicit FileSource(FileReader reader) : reader_(std::move(reader)) {}
  FileReader reader_;
  Bytes buffer_;
};

}  // namespace trayproof::reading
