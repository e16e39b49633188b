// Kept curves read again from their exports, as they were read and as they are placed, by the edition that is in force
// for each: for what must be drawn from the evidence itself and not from what stands beside the chain. An export is
// read once for all of its curves.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "importer/evidence.h"

namespace trayproof::importer {

struct WantedCurve {
  json::Value measured;             // the entry of its curve-measured
  std::optional<std::string> load;  // where it is placed
  std::optional<double> error_k;    // of the judgement that holds
};

struct CurveAgain {
  std::optional<Cycle> cycle;            // nothing when this program finds none there
  judging::Series series;                // the samples around it
  std::shared_ptr<const Import> import;  // of its export, without samples and cycles; null where it was not read
  std::optional<std::string> missing;    // why it was not: the file was removed, or no such load is known
};

struct ReadAgain {
  std::vector<CurveAgain> curves;  // in the order in which they were wanted
  std::int64_t exports_read = 0;
};
// Corrupt where an entry is no measured curve.
Result<ReadAgain> read_again(const Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                             std::vector<WantedCurve> wanted);

}  // namespace trayproof::importer
