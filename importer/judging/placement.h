// Which load a cycle belongs to, and what the load's own times say about the logger's clock.
// docs/import-reading.md, "Placement", is the authority.
#pragma once

#include <optional>
#include <vector>

#include "importer/judging/phases.h"
#include "importer/judging/sample.h"

namespace trayproof::judging {

// The load on the same equipment whose span the hot part of the cycle overlaps most; the one named by hand where the
// file holds one cycle or this cycle overlaps it. Null where none fits.
const KnownLoad* place(const Series& series, const Stretch& cycle, std::size_t cycles, const Surroundings& around);

// By how many seconds the curve must be moved to lie within the load's start and end; 0 where it does, nothing without
// both times and a date.
std::optional<double> clock_offset_s(const Series& series, const Stretch& cycle, const KnownLoad& load);

}  // namespace trayproof::judging
