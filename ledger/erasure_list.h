// `<ledger>.erased`, beside the ledger: what was erased, each with the request and the countersignature as they stand
// in the chain, so that a backup put back later can be made to forget again, and anybody can check that it was asked
// for. It names pseudonyms and hashes only and tells nothing about a patient.
//
// One JSON object a line:
//   {"sort":"patient","subject":"<hex>","request":{"entry":"<bytes>","sig":"hex"},"countersigned":{"entry":…,"sig":…}}
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "ledger/erasure.h"
#include "ledger/people/key_book.h"

namespace trayproof {

struct SignedEntry {
  std::string bytes;
  Bytes sig;
};

struct ErasureProof {
  Forgotten sort = Forgotten::patient;
  std::string subject;  // hex
  SignedEntry request;
  SignedEntry countersigned;
};

std::string list_path(const std::string& ledger_path);

Result<ErasureProof> proof_of(const Ledger& ledger, const ErasureRequest& request, std::int64_t countersigned);
// Whether two persons whose keys the book knows signed it: the request for this very thing, and its countersignature.
bool proof_holds(const ErasureProof& proof, const people::KeyBook& keys);

std::string list_text(const std::vector<ErasureProof>& proofs);
struct ErasureList {
  std::vector<ErasureProof> proofs;
  std::int64_t unreadable = 0;  // lines that are none of this form
};
ErasureList read_list(std::string_view text);
// Empty when there is no such file.
Result<ErasureList> read_list_file(const std::string& path);
// Writes the file anew with those that it did not have; durable when it returns.
Result<void> add_to_list(const std::string& path, const std::vector<ErasureProof>& proofs);

}  // namespace trayproof
