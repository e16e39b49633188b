#include "ledger/store/attachment_stream.h"

#include <algorithm>
#include <thread>

#include "ledger/base/limits.h"
#include "ledger/store/deflate.h"
#include "ledger/words/language.h"
#include "ledger/words/words.h"

namespace trayproof::store {
namespace {

std::size_t threads() { return std::clamp<std::size_t>(std::thread::hardware_concurrency(), 1, 4); }

}  // namespace

Result<void> AttachmentMaker::feed(ByteView bytes) {
  hash_.feed(bytes);
  bytes_ += static_cast<std::int64_t>(bytes.size());
  while (!bytes.empty()) {
    // A full part goes only when more follows: a short file needs no second thread.
    if (part_.size() == limits::attachment_part_bytes) TRY(deflate_part());
    const ByteView taken = bytes.first(std::min(bytes.size(), limits::attachment_part_bytes - part_.size()));
    part_.insert(part_.end(), taken.begin(), taken.end());
    bytes = bytes.subspan(taken.size());
  }
  return {};
}

Result<void> AttachmentMaker::deflate_part() {
  if (at_work_.size() >= threads()) TRY(take_oldest());
  at_work_.push_back(std::async(std::launch::async,
                                handed_over([part = std::move(part_)]() -> Result<Bytes> { return deflated(part); })));
  part_ = Bytes();
  part_.reserve(limits::attachment_part_bytes);
  return {};
}

Result<void> AttachmentMaker::take_oldest() {
  auto oldest = std::move(at_work_.front());
  at_work_.pop_front();
  TRY_LET(const Bytes packed, oldest.get());
  return parts_.add(packed);
}

Result<MadeAttachment> AttachmentMaker::done() {
  while (!at_work_.empty()) TRY(take_oldest());
  if (!part_.empty() || parts_.size() == 0) {
    TRY_LET(const Bytes packed, deflated(part_));
    TRY(parts_.add(packed));
  }
  return MadeAttachment{.sha256 = hash_.finish(), .bytes = bytes_, .parts = std::move(parts_)};
}

Result<bool> put_attachment(LedgerFile& file, const MadeAttachment& made) {
  TRY_LET(const bool there, file.has_attachment(made.sha256));
  if (there) return false;
  Database& database = file.database();
  const bool own_transaction = !database.in_transaction();
  if (own_transaction) TRY(database.begin());
  const auto write_all = [&]() -> Result<void> {
    TRY_LET(auto write, database.prepare("INSERT INTO attachment_parts (sha256, part, deflated) VALUES (?, ?, ?)"));
    for (std::size_t i = 0; i < made.parts.size(); ++i) {
      TRY_LET(const Bytes packed, made.parts.at(i));
      write.bind(1, ByteView(made.sha256)).bind(2, static_cast<std::int64_t>(i)).bind_view(3, ByteView(packed));
      TRY(write.run());
    }
    TRY_LET(auto row, database.prepare("INSERT INTO attachments (sha256, bytes, parts) VALUES (?, ?, ?)"));
    row.bind(1, ByteView(made.sha256)).bind(2, made.bytes).bind(3, static_cast<std::int64_t>(made.parts.size()));
    return row.run();
  };
  auto written = write_all();
  if (own_transaction) {
    if (written.ok()) written = database.commit();
    if (!written.ok()) database.roll_back();
  }
  if (!written.ok()) return std::move(written).error();
  return true;
}

Error AttachmentReader::changed() const {
  return {ErrorCode::corrupt, say("store.attachment-changed", {{"file", hex(sha256_)}})};
}

Result<AttachmentReader> AttachmentReader::open(LedgerFile& file, const Digest& sha256) {
  TRY_LET(auto row, file.database().prepare("SELECT bytes, parts FROM attachments WHERE sha256 = ?"));
  row.bind(1, ByteView(sha256));
  TRY_LET(const bool there, row.step());
  if (!there) return Error(ErrorCode::missing, say("store.no-attachment", {{"file", hex(sha256)}}));
  AttachmentReader reader(file, sha256);
  reader.bytes_ = row.integer(0);
  reader.parts_ = row.integer(1);
  return reader;
}

void AttachmentReader::rewind() {
  next_ = 0;
  hash_ = std::make_unique<crypto::Sha256Stream>();
}

Result<Bytes> AttachmentReader::next() {
  Bytes out;
  // An empty file has one part, of no bytes.
  while (out.empty() && next_ < parts_) {
    TRY_LET(auto row, file_->database().prepare("SELECT deflated FROM attachment_parts WHERE sha256 = ? AND part = ?"));
    row.bind(1, ByteView(sha256_)).bind(2, next_);
    TRY_LET(const bool there, row.step());
    if (!there || !inflate_onto(out, row.blob(0), limits::attachment_part_bytes)) return changed();
    ++next_;
    hash_->feed(out);
  }
  if (!out.empty() || next_ > parts_) return out;
  ++next_;  // the end was told
  if (hash_->finish() != sha256_) return changed();
  return out;
}

}  // namespace trayproof::store
