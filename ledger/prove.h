// Proofs from the ledger's entries: that entries stand in a signed state, and that one state goes on from an older one.
// One pass over the hashes however many proofs are wanted. The forms are those of ledger/log/proof.h.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/log/proof.h"

namespace trayproof {

// One proof for each seq, in the order given, against `checkpoint` (a note that the ledger signed, of this state or an
// older one). Missing: a seq that the checkpoint does not cover. Corrupt: the entries do not lead to its root.
Result<std::vector<log::InclusionProof>> prove_entries(const Ledger& ledger, const std::vector<std::int64_t>& seqs,
                                                       std::string_view checkpoint);

// That the state of `checkpoint` goes on from that of the first `older_size` events. Missing: it covers fewer.
Result<log::ConsistencyProof> prove_growth(const Ledger& ledger, std::int64_t older_size, std::string_view checkpoint);

}  // namespace trayproof
