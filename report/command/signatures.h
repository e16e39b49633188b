// Checkpoints as they are given by file, and the keys of who signed under them.
#pragma once

#include <string>
#include <vector>

#include "ledger/base/result.h"
#include "ledger/log/cosignature.h"

namespace trayproof::command {

// A checkpoint from a file, as scanners and mail programs leave it: line ends of other machines, a missing or doubled
// last one. What is signed is compared byte for byte afterwards, so nothing that differs passes.
Result<std::string> read_checkpoint(const std::string& file);
// Verifier keys as --witness-key gives them.
Result<std::vector<log::VerifierKey>> witness_keys(const std::vector<std::string>& given);

}  // namespace trayproof::command
