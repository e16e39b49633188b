// Measured curves in the ledger's file: bytes beside the chain that can be made again from the exports.
// docs/curve-format.md is the authority.
#pragma once

#include <functional>
#include <optional>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "ledger/store/database.h"

namespace trayproof::store {

struct KeptCurve {
  Bytes bytes;
  Bytes sketch;
  Digest mark{};
};

// What is put replaces what was there.
Result<void> put_curve(Database& database, const Digest& file, std::int64_t part, const KeptCurve& curve);
// Nothing where there is none or where it cannot be read.
Result<std::optional<KeptCurve>> read_curve(Database& database, const Digest& file, std::int64_t part);
// Of every curve that has one.
Result<void> scan_sketches(Database& database,
                           const std::function<void(const Digest& file, std::int64_t part, ByteView sketch)>& visit);
Result<void> drop_curves(Database& database, const Digest& file);

}  // namespace trayproof::store
