// Signatures under checkpoints as people and scripts are told of them, and checkpoints as they are given by file.
#pragma once

#include <string>
#include <vector>

#include "ledger/base/result.h"
#include "ledger/base/zone.h"
#include "ledger/log/cosignature.h"
#include "ledger/text/json.h"

namespace trayproof::command {

// {"name","id","state":"fits|differs|unchecked","at":"…"|null}
json::Value signature_json(const log::SignatureFound& signature, const Zone& zone);
std::string signature_line(const log::SignatureFound& signature, const Zone& zone);

// A checkpoint from a file, as scanners and mail programs leave it: line ends of other machines, a missing or doubled
// last one. What is signed is compared byte for byte afterwards, so nothing that differs passes.
Result<std::string> read_checkpoint(const std::string& file);
// Verifier keys as --witness-key gives them.
Result<std::vector<log::VerifierKey>> witness_keys(const std::vector<std::string>& given);

}  // namespace trayproof::command
