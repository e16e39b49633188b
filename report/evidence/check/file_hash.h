// The SHA-256 of a file on disk, read bit by bit.
#pragma once

#include <string>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"

namespace trayproof::evidence {

Result<Digest> sha256_of_file(const std::string& path);

}  // namespace trayproof::evidence
