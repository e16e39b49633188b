#include "ledger/log/proof.h"
#include "tests/fuzz/target.h"

namespace trayproof::fuzz {

// A proof that is read prints as the same bytes, and none of them holds for a key that signed nothing.
void proof_text(std::string_view bytes) {
  const log::VerifierKey nobody{"nobody", {}};
  if (const auto proof = log::parse_inclusion_proof(bytes); proof.ok()) {
    must_hold(log::to_text(proof.value()) == bytes, "inclusion proof as it came");
    must_hold(log::check(proof.value(), {}, nobody) != log::ProofState::holds, "nobody signed it");
  }
  if (const auto proof = log::parse_consistency_proof(bytes); proof.ok()) {
    must_hold(log::to_text(proof.value()) == bytes, "consistency proof as it came");
    must_hold(log::check(proof.value(), {}, nobody) != log::ProofState::holds, "nobody signed it");
  }
}

}  // namespace trayproof::fuzz
