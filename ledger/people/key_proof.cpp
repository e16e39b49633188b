#include "ledger/people/key_proof.h"

namespace trayproof::people {

std::string proof_text(const KeyClaim& claim) {
  std::string text = "trayproof/key-added/1";
  for (const std::string_view part : {claim.ledger, claim.owner, claim.sort, claim.public_key}) {
    text += '\n';
    text += part;
  }
  return text + "\n";
}

std::string prove(const KeyClaim& claim, const crypto::SigningKey& by) {
  return hex(by.sign(as_bytes(proof_text(claim))));
}

}  // namespace trayproof::people
