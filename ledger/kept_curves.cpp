#include "ledger/kept_curves.h"

#include "ledger/crypto/hash.h"
#include "ledger/store/curves.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

Digest mark_of(const people::KeyFile& keys, const Digest& file, std::int64_t part, const store::KeptCurve& kept) {
  const std::string text = "curve-1 " + hex(file) + " " + std::to_string(part) + " " + hex(crypto::sha256(kept.bytes)) +
                           " " + hex(crypto::sha256(kept.sketch));
  return crypto::keyed_mark(keys.mark_secret, as_bytes(text));
}

}  // namespace

Result<void> keep_curve(Ledger& ledger, const Digest& file, std::int64_t part, Bytes bytes, Bytes sketch) {
  TRY(ledger.may_write());
  store::KeptCurve kept{.bytes = std::move(bytes), .sketch = std::move(sketch), .mark = {}};
  kept.mark = mark_of(*ledger.keys(), file, part, kept);
  return store::put_curve(ledger.file().database(), file, part, kept);
}

Result<std::optional<Bytes>> kept_curve(const Ledger& ledger, const Digest& file, std::int64_t part) {
  if (ledger.keys() == nullptr) return std::optional<Bytes>();
  TRY_LET(auto kept, store::read_curve(ledger.file().database(), file, part));
  if (!kept || kept->mark != mark_of(*ledger.keys(), file, part, *kept)) return std::optional<Bytes>();
  return std::optional(std::move(kept->bytes));
}

Result<CurvesLooked> look_at_curves(const Ledger& ledger) {
  TRY_LET(auto rows, ledger.file().database().prepare(
                         "SELECT file, part, EXISTS (SELECT 1 FROM attachments a WHERE a.sha256 = c.file) FROM curves "
                         "c ORDER BY file, part"));
  CurvesLooked looked;
  while (true) {
    TRY_LET(const bool row, rows.step());
    if (!row) return looked;
    ++looked.curves;
    Digest file{};
    const std::string name = hex(rows.blob(0));
    const std::string part = std::to_string(rows.integer(1));
    const bool named = from_hex(name, file);
    if (!named || rows.integer(2) == 0) {
      looked.problems.push_back(say("verify.curve-without-file", {{"file", name}, {"part", part}}));
      continue;
    }
    if (ledger.keys() == nullptr) continue;
    TRY_LET(const auto bytes, kept_curve(ledger, file, rows.integer(1)));
    if (!bytes) looked.problems.push_back(say("verify.curve-changed", {{"file", name}, {"part", part}}));
  }
}

}  // namespace trayproof
