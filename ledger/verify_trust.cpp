#include "ledger/verify_trust.h"

#include <string>

namespace trayproof {
namespace {

using Marked = store::LedgerFile::Marked;

Digest mark_of(const people::KeyFile& keys, const Marked& marked) {
  const std::string text = "verified-3 " + std::to_string(marked.size) + " " + hex(marked.hash);
  return crypto::keyed_mark(keys.mark_secret, as_bytes(text));
}

}  // namespace

Result<std::optional<Trusted>> trusted_state(const Ledger& ledger) {
  const std::optional<Trusted> none;
  if (ledger.keys() == nullptr) return none;
  TRY_LET(const auto marked, ledger.file().verified());
  if (!marked || marked->size < 1 || mark_of(*ledger.keys(), *marked) != marked->mark) return none;
  return std::optional(Trusted{.size = marked->size, .state = marked->hash});
}

Result<void> trust(Ledger& ledger, const Trusted& found) {
  Marked marked{.size = found.size, .hash = found.state, .mark = {}};
  marked.mark = mark_of(*ledger.keys(), marked);
  TRY_LET(auto transaction, store::Transaction::begin(ledger.file().database()));
  TRY(ledger.file().put_verified(marked));
  return transaction.commit();
}

}  // namespace trayproof
