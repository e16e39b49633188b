// Attachments of LedgerFile: whole files in deflated parts, checked against their SHA-256 on the way out.
#include <algorithm>

#include "ledger/base/limits.h"
#include "ledger/store/deflate.h"
#include "ledger/store/ledger_file.h"
#include "ledger/words/words.h"

namespace trayproof::store {
Result<bool> LedgerFile::has_attachment(const Digest& sha256) {
  TRY_LET(auto* read, prepared("SELECT 1 FROM attachments WHERE sha256 = ?"));
  read->bind(1, ByteView(sha256));
  TRY_LET(const bool row, read->step());
  read->reset();
  return row;
}

Result<bool> LedgerFile::put_attachment(const Digest& sha256, ByteView bytes) {
  TRY_LET(const bool there, has_attachment(sha256));
  if (there) return false;
  const bool own_transaction = !database_.in_transaction();
  if (own_transaction) TRY(database_.begin());
  const auto write_parts = [&]() -> Result<void> {
    TRY_LET(auto* write, prepared("INSERT INTO attachment_parts (sha256, part, deflated) VALUES (?, ?, ?)"));
    std::int64_t part = 0;
    for (std::size_t at = 0; at < bytes.size() || part == 0; at += limits::attachment_part_bytes, ++part) {
      TRY_LET(const auto packed,
              deflated(bytes.subspan(at, std::min(limits::attachment_part_bytes, bytes.size() - at))));
      write->bind(1, ByteView(sha256)).bind(2, part).bind_view(3, ByteView(packed));
      TRY(write->run());
    }
    TRY_LET(auto* file, prepared("INSERT INTO attachments (sha256, bytes, parts) VALUES (?, ?, ?)"));
    file->bind(1, ByteView(sha256)).bind(2, static_cast<std::int64_t>(bytes.size())).bind(3, part);
    return file->run();
  };
  auto written = write_parts();
  if (own_transaction) {
    if (written.ok()) written = database_.commit();
    if (!written.ok()) database_.roll_back();
  }
  if (!written.ok()) return std::move(written).error();
  return true;
}

Result<Bytes> LedgerFile::attachment(const Digest& sha256) {
  TRY_LET(const bool there, has_attachment(sha256));
  if (!there) return Error(ErrorCode::missing, say("store.no-attachment", {{"file", hex(sha256)}}));
  TRY_LET(auto* read, prepared("SELECT deflated FROM attachment_parts WHERE sha256 = ? ORDER BY part"));
  read->bind(1, ByteView(sha256));
  Bytes out;
  bool whole = true;
  while (true) {
    TRY_LET(const bool row, read->step());
    if (!row) break;
    whole = inflate_onto(out, read->blob(0), limits::attachment_part_bytes) && whole;
  }
  if (!whole || crypto::sha256(out) != sha256) {
    return Error(ErrorCode::corrupt, say("store.attachment-changed", {{"file", hex(sha256)}}));
  }
  return out;
}

Result<std::vector<Digest>> LedgerFile::attachments() {
  TRY_LET(auto* read, prepared("SELECT sha256 FROM attachments ORDER BY sha256"));
  std::vector<Digest> files;
  while (true) {
    TRY_LET(const bool row, read->step());
    if (!row) return files;
    Digest file{};
    const ByteView blob = read->blob(0);
    std::copy_n(blob.begin(), std::min<std::size_t>(32, blob.size()), file.begin());
    files.push_back(file);
  }
}

}  // namespace trayproof::store
