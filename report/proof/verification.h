// The whole record verified: chain, tree, checkpoints and signatures as in ledger/verify.h, then what was derived from
// it, and how --json tells it (docs/json-shapes.md).
#pragma once

#include "ledger/base/zone.h"
#include "ledger/text/json.h"
#include "ledger/verify.h"

namespace trayproof::proof {

Result<Verification> verify_all(Ledger& ledger, const VerifyOptions& options);
// A file so damaged that it cannot be read is a record that does not hold, not a failure of this machine.
Verification unreadable(const Error& error);

json::Value to_json(const Verification& found, const Zone& zone, double seconds);
// What a script is told of one checkpoint.
std::string_view state_of(const CheckpointFound& checkpoint);

}  // namespace trayproof::proof
