// Co-signatures of witnesses under this ledger's checkpoints: taken in from a note that a witness gave back, and kept
// with the checkpoint that they stand under. docs/checkpoint-format.md, "Witnesses".
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/log/cosignature.h"

namespace trayproof {

struct Witnessed {
  std::string note;  // as it is kept now: the ledger's signature first, then those of witnesses
  log::Head head;
  std::size_t added = 0;  // signatures that were not there before
  std::vector<log::SignatureFound> signatures;
};

// Keeps the signatures under `note` that are not the ledger's own. The state that it tells of must be this ledger's:
// a checkpoint of that text is kept, or the note is signed by the ledger and the entries lead to its root. A signature
// under the name and id of one of `witnesses` must fit; of other keys it is kept and stays unchecked.
// Invalid: no checkpoint, of another ledger, of no state of this one, without further signatures, or one that differs.
Result<Witnessed> take_witness(Ledger& ledger, std::string_view note, const std::vector<log::VerifierKey>& witnesses);

}  // namespace trayproof
