// Limits on exports that are read piece by piece; those on what must lie in memory stand in ledger/base/limits.h.
#pragma once

#include <cstdint>

namespace trayproof::importer {

inline constexpr std::int64_t export_bytes_most = std::int64_t{4} << 30;

}  // namespace trayproof::importer
