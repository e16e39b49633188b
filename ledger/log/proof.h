// Proofs as text that travels: an inclusion proof in the form of C2SP tlog-proof v1, a consistency proof in the form in
// which C2SP tlog-witness takes it. Both end in the checkpoint that they lead to. Pure; docs/checkpoint-format.md shows
// the bytes.
//
//   c2sp.org/tlog-proof@v1              old <decimal size of the older tree>
//   extra <base64>      (may be left out)  <base64 hash>, one a line
//   index <decimal leaf>                (empty line)
//   <base64 hash>, one a line           <checkpoint>
//   (empty line)
//   <checkpoint>
//
// Leaves are counted from 0; a ledger's seq is index + 1.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "ledger/base/result.h"
#include "ledger/log/note.h"
#include "ledger/log/tree.h"

namespace trayproof::log {

struct InclusionProof {
  std::uint64_t index = 0;
  Proof path;
  std::string checkpoint;      // the signed note, byte for byte
  std::optional<Bytes> extra;  // covered by nothing: never to be believed
};

struct ConsistencyProof {
  std::uint64_t older_size = 0;
  Proof path;
  std::string checkpoint;  // of the newer tree
};

std::string to_text(const InclusionProof& proof);
std::string to_text(const ConsistencyProof& proof);
// Invalid, with what was found, when the bytes are no such proof. Says nothing about whether it holds.
Result<InclusionProof> parse_inclusion_proof(std::string_view bytes);
Result<ConsistencyProof> parse_consistency_proof(std::string_view bytes);

enum class ProofState {
  holds,
  no_checkpoint,  // what stands at its end is no checkpoint
  not_signed,     // the checkpoint is not signed by the key
  other_origin,   // the checkpoint is that of another ledger than the key's
  not_in_tree,    // the hashes do not lead to the checkpoint's root
};
// The sentence for people, from the catalogue.
std::string sentence_of(ProofState state);

// Whether the entry with this leaf hash stands at `proof.index` in the tree that `key` signed. The key's name is the
// origin.
ProofState check(const InclusionProof& proof, const Digest& leaf_hash, const VerifierKey& key);
// Whether the tree that `key` signed goes on from `older` without a change in what was there. Of an empty older tree
// everything is a continuation, and the proof is empty.
ProofState check(const ConsistencyProof& proof, const Head& older, const VerifierKey& key);

}  // namespace trayproof::log
