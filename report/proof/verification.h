// The whole record verified: chain, tree, checkpoints and signatures as in ledger/verify.h, then what was derived from
// it, and how --json tells it (docs/json-shapes.md).
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/zone.h"
#include "ledger/text/json.h"
#include "ledger/verify.h"

namespace trayproof::proof {

Result<Verification> verify_all(Ledger& ledger, const VerifyOptions& options);
// A file so damaged that it cannot be read is a record that does not hold, not a failure of this machine.
Verification unreadable(const Error& error);

// A ledger as it could be opened, or without its key file where that is what is wrong: the chain needs no secrets.
struct OpenedToVerify {
  Result<Ledger> ledger;
  std::optional<std::string> key_file;  // for Verification::key_file
};
OpenedToVerify open_to_verify(Result<Ledger> opened, const std::string& path, Clock& clock);

// The catalogue's name of the sentence that sums up.
std::string_view headline(const Verification& found);
// What was checked and what was not, a sentence each; nothing of a file that could not be read.
std::vector<std::string> checked_lines(const Verification& found);
// The key file named as the problem; only where it is.
std::string key_file_line(const Verification& found);
json::Value to_json(const Verification& found, const Zone& zone, double seconds);
// Of a checkpoint that the record declares as lost, countersigned.
std::string lost_line(const CheckpointFound& checkpoint);
// What a script is told of one checkpoint.
std::string_view state_of(const CheckpointFound& checkpoint);

}  // namespace trayproof::proof
