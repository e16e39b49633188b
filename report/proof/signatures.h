// A signature under a checkpoint, as --json and people are told of it.
#pragma once

#include <string>

#include "ledger/base/zone.h"
#include "ledger/log/cosignature.h"
#include "ledger/text/json.h"

namespace trayproof::proof {

// {"name","id","state":"fits|differs|unchecked","at":"…"|null}
json::Value signature_json(const log::SignatureFound& signature, const Zone& zone);
std::string signature_line(const log::SignatureFound& signature, const Zone& zone);

}  // namespace trayproof::proof
