// One cycle as it was measured, apart from the file it stood in: what judging needs and nothing that was judged. Its
// bytes stand in the ledger's file beside the chain, made from the kept export and never trusted above it.
// docs/curve-format.md is the authority on them.
#pragma once

#include <optional>

#include "importer/judging/phases.h"
#include "importer/judging/series.h"
#include "ledger/base/bytes.h"

namespace trayproof::judging {

struct Measured {
  Series series;    // the samples of the stretch alone
  Stretch stretch;  // places in them
};

Measured measured_of(const Series& series, const Stretch& stretch);

// What the ledger, not the logger, says: the pressure of the room, and how much too high the logger reads. Neither
// stands in the bytes.
struct Around {
  std::optional<double> ambient_kpa;
  double error_k = 0;
};

// What is kept of a curve.
struct Coded {
  Bytes bytes;
  Bytes sketch;
};
// The samples must have been made without an error taken off.
Coded coded(const Series& series, const Stretch& stretch);
Bytes encode(const Series& series, const Stretch& stretch);
// Nothing where these are not the bytes of a curve.
std::optional<Measured> decode(ByteView bytes, const Around& around);

}  // namespace trayproof::judging
