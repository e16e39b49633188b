// Attachments that need not fit into memory: made piece by piece before the file is locked for writing, read piece by
// piece afterwards. What they become in the file is what LedgerFile::put_attachment makes of the same bytes.
#pragma once

#include <cstdint>
#include <deque>
#include <future>
#include <string>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "ledger/base/spool.h"
#include "ledger/crypto/hash.h"
#include "ledger/store/ledger_file.h"

namespace trayproof::store {

struct MadeAttachment {
  Digest sha256{};
  std::int64_t bytes = 0;
  Spool parts;  // deflated
};

// Deflates in as many threads as the machine has, and hashes meanwhile.
class AttachmentMaker {
 public:
  // What memory shall not hold lies beside that path for so long.
  explicit AttachmentMaker(std::string beside) : parts_(std::move(beside)) {}
  Result<void> feed(ByteView bytes);
  Result<MadeAttachment> done();

 private:
  Result<void> deflate_part();
  Result<void> take_oldest();

  crypto::Sha256Stream hash_;
  Bytes part_;
  std::int64_t bytes_ = 0;
  std::deque<std::future<Result<Bytes>>> at_work_;
  Spool parts_;
};

// In the transaction in hand or one of its own. True: it was not there before.
Result<bool> put_attachment(LedgerFile& file, const MadeAttachment& made);

class AttachmentReader {
 public:
  // Missing where there is none. The file must outlive it.
  static Result<AttachmentReader> open(LedgerFile& file, const Digest& sha256);
  // Empty at the end. Corrupt, at the latest there, where the bytes are not those of the name: until then nothing that
  // was read may be believed.
  Result<Bytes> next();
  void rewind();
  std::int64_t bytes() const { return bytes_; }

 private:
  AttachmentReader(LedgerFile& file, const Digest& sha256) : file_(&file), sha256_(sha256) { rewind(); }
  Error changed() const;

  LedgerFile* file_;
  Digest sha256_;
  std::int64_t bytes_ = 0;
  std::int64_t parts_ = 0;
  std::int64_t next_ = 0;
  std::unique_ptr<crypto::Sha256Stream> hash_;
};

}  // namespace trayproof::store
