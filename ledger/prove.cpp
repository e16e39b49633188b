#include "ledger/prove.h"

#include <algorithm>

#include "ledger/log/proof_pass.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

Result<log::Head> head_of(std::string_view checkpoint) {
  TRY_LET(const auto note, log::parse_note(checkpoint));
  TRY_LET(const auto read, log::parse_checkpoint(note));
  return read.head;
}

Error not_covered(std::int64_t seq, std::uint64_t size) {
  return {ErrorCode::missing, say("proof.not-covered", {{"seq", std::to_string(seq)}, {"size", std::to_string(size)}})};
}

// Feeds the stored hashes; that they are the hashes of the stored bytes is for verify to say.
Result<void> feed(const Ledger& ledger, const log::Head& head, log::ProofPass& pass) {
  TRY(ledger.scan(1, static_cast<std::int64_t>(head.size), [&](const store::EntryView& entry) -> Result<void> {
    Digest hash{};
    if (entry.hash.size() == hash.size()) std::copy(entry.hash.begin(), entry.hash.end(), hash.begin());
    pass.add(hash);
    return {};
  }));
  if (!pass.complete() || pass.head().root != head.root) {
    return Error(ErrorCode::corrupt, say("proof.other-root", {{"size", std::to_string(head.size)}}));
  }
  return {};
}

}  // namespace

Result<std::vector<log::InclusionProof>> prove_entries(const Ledger& ledger, const std::vector<std::int64_t>& seqs,
                                                       std::string_view checkpoint) {
  TRY_LET(const auto head, head_of(checkpoint));
  log::WantedProofs wanted{.size = head.size, .leaves = {}, .older_sizes = {}};
  for (const std::int64_t seq : seqs) {
    if (seq < 1 || static_cast<std::uint64_t>(seq) > head.size) return not_covered(seq, head.size);
    wanted.leaves.push_back(static_cast<std::uint64_t>(seq - 1));
  }
  log::ProofPass pass(wanted);
  TRY(feed(ledger, head, pass));
  std::vector<log::InclusionProof> proofs;
  for (const std::uint64_t leaf : wanted.leaves) {
    proofs.push_back({.index = leaf, .path = pass.inclusion(leaf), .checkpoint = std::string(checkpoint), .extra = {}});
  }
  return proofs;
}

Result<log::ConsistencyProof> prove_growth(const Ledger& ledger, std::int64_t older_size, std::string_view checkpoint) {
  TRY_LET(const auto head, head_of(checkpoint));
  if (older_size < 0 || static_cast<std::uint64_t>(older_size) > head.size) return not_covered(older_size, head.size);
  const auto older = static_cast<std::uint64_t>(older_size);
  log::WantedProofs wanted{.size = head.size, .leaves = {}, .older_sizes = {}};
  if (older > 0) wanted.older_sizes.push_back(older);
  log::ProofPass pass(wanted);
  TRY(feed(ledger, head, pass));
  log::ConsistencyProof proof{.older_size = older, .path = {}, .checkpoint = std::string(checkpoint)};
  if (older > 0) proof.path = pass.consistency(older);
  return proof;
}

}  // namespace trayproof
