// Whether a curve can be what a sensor saw: frozen, flat, impossibly steep, channels apart, stamps out of order.
// docs/import-reading.md, "Integrity", is the authority.
#pragma once

#include <vector>

#include "importer/judging/curve.h"
#include "importer/judging/phases.h"
#include "importer/judging/sample.h"

namespace trayproof::judging {

// `hold_first` and `hold_last` are samples; the band is the program's, where it is known.
struct HoldSamples {
  std::size_t first = 0;
  std::size_t last = 0;
  std::optional<double> band_k;
};

void check_integrity(const Series& series, const Stretch& cycle, const Curve& curve,
                     const std::optional<HoldSamples>& hold, std::vector<Finding>& findings);

}  // namespace trayproof::judging
