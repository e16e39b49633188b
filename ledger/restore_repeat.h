// The part of a restore that writes: what it notes in the chain, and what the copy is made to forget again. Private to
// restore.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "ledger/erasure_list.h"
#include "ledger/log/tree.h"

namespace trayproof {

// Those whose subject the file still holds, each subject once.
Result<std::vector<ErasureProof>> still_held(store::LedgerFile& file, const std::vector<ErasureProof>& known);

struct RestoreNote {
  log::Head head;                       // of the backup
  std::optional<log::Head> lost_after;  // a later state that is known
  std::string second;
  std::string at;
  std::vector<ErasureProof> due;
};
// `ledger-restored`, then for each erasure its request again, naming an attachment with the proofs: one commit. The seq
// of the first.
Result<std::int64_t> note_restore(Ledger& copy, const RestoreNote& note, std::shared_ptr<const people::Signer> signer);

// Destroys in one step; how many.
Result<std::int64_t> forget_again(store::LedgerFile& file, const std::vector<ErasureProof>& due);

}  // namespace trayproof
