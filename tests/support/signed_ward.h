// A ward whose steward and quality officer can sign in: for what takes two persons.
#pragma once

#include <memory>
#include <string>

#include "ledger/erasure.h"
#include "tests/support/ward_ledger.h"

namespace trayproof::tests {

using SignerPtr = std::shared_ptr<const people::Signer>;

class SignedWard : public WardLedger {
 public:
  SignedWard();
  SignerPtr mara();  // steward
  SignerPtr noor();  // quality
  SignerPtr sign_in(const std::string& person);

  // The request, by mara with noor as second unless another is named; its seq.
  std::int64_t ask(const ErasureWish& wish);
  std::int64_t ask_patient(const std::string& pseudonym);
  std::int64_t ask_text(std::int64_t of, const std::string& field);
  // Both.
  std::int64_t erase_patient(const std::string& pseudonym);
};

// The line of a delivery; `more` begins with a comma.
std::string delivery_line(const std::string& procedure, const std::string& more);

}  // namespace trayproof::tests
