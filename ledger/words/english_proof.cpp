#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> proof() {
  static constexpr Word words[] = {
      {"proof.inclusion-form",
       "found {found}; allowed is an inclusion proof: c2sp.org/tlog-proof@v1, index, hashes one a line, an empty line, a "
       "checkpoint"},
      {"proof.consistency-form",
       "found {found}; allowed is a consistency proof: the older size, hashes one a line, an empty line, a checkpoint"},
      {"proof.long", "the proof is longer than any proof can be (limit {found})"},
      {"proof.holds", "holds"},
      {"proof.no-checkpoint", "no checkpoint stands at the end of the proof"},
      {"proof.not-signed", "the proof's checkpoint is not signed by this key"},
      {"proof.other-origin", "the proof's checkpoint is that of another ledger"},
      {"proof.not-in-tree", "the proof does not lead to the signed root"},
      {"proof.not-covered", "seq {seq} is not in the state of {size} events that the checkpoint tells of"},
      {"proof.other-root", "the entries do not lead to the root of the checkpoint of {size} events; run verify"},
  };
  return words;
}

}  // namespace trayproof::english
