#include "ledger/store/curves.h"

#include <algorithm>

#include "ledger/store/deflate.h"

namespace trayproof::store {
namespace {

// A column takes at most eight bytes a value and some for its form.
constexpr std::int64_t bytes_most = 16 << 20;

}  // namespace

Result<void> put_curve(Database& database, const Digest& file, std::int64_t part, const KeptCurve& curve) {
  TRY_LET(const auto packed, deflated(curve.bytes));
  TRY_LET(auto write, database.prepare("INSERT OR REPLACE INTO curves (file, part, bytes, sketch, deflated, mark) "
                                       "VALUES (?, ?, ?, ?, ?, ?)"));
  write.bind(1, ByteView(file)).bind(2, part).bind(3, static_cast<std::int64_t>(curve.bytes.size()));
  write.bind(4, ByteView(curve.sketch)).bind_view(5, ByteView(packed)).bind(6, ByteView(curve.mark));
  return write.run();
}

Result<std::optional<KeptCurve>> read_curve(Database& database, const Digest& file, std::int64_t part) {
  TRY_LET(auto read, database.prepare("SELECT bytes, sketch, deflated, mark FROM curves WHERE file = ? AND part = ?"));
  read.bind(1, ByteView(file)).bind(2, part);
  TRY_LET(const bool row, read.step());
  if (!row) return std::optional<KeptCurve>();
  KeptCurve kept;
  const std::int64_t size = read.integer(0);
  const ByteView sketch = read.blob(1);
  const ByteView mark = read.blob(3);
  if (size < 0 || size > bytes_most || mark.size() != kept.mark.size()) return std::optional<KeptCurve>();
  if (!inflate_onto(kept.bytes, read.blob(2), static_cast<std::size_t>(size))) return std::optional<KeptCurve>();
  if (static_cast<std::int64_t>(kept.bytes.size()) != size) return std::optional<KeptCurve>();
  kept.sketch.assign(sketch.begin(), sketch.end());
  std::copy(mark.begin(), mark.end(), kept.mark.begin());
  return std::optional(std::move(kept));
}

Result<void> scan_sketches(Database& database,
                           const std::function<void(const Digest& file, std::int64_t part, ByteView sketch)>& visit) {
  TRY_LET(auto read, database.prepare("SELECT file, part, sketch FROM curves WHERE length(sketch) > 0"));
  while (true) {
    TRY_LET(const bool row, read.step());
    if (!row) return {};
    Digest file{};
    const ByteView name = read.blob(0);
    if (name.size() != file.size()) continue;
    std::copy(name.begin(), name.end(), file.begin());
    visit(file, read.integer(1), read.blob(2));
  }
}

Result<void> drop_curves(Database& database, const Digest& file) {
  TRY_LET(auto remove, database.prepare("DELETE FROM curves WHERE file = ?"));
  remove.bind(1, ByteView(file));
  return remove.run();
}

}  // namespace trayproof::store
