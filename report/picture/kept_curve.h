// Curves of the record drawn again from their kept files, as they were read, placed and judged.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "importer/read_again.h"
#include "report/picture/curve.h"

namespace trayproof::picture {

struct KeptCurve {
  std::string load;                      // empty: it waits for its place
  std::string file;                      // SHA-256 of the export
  json::Value judged;                    // the entry of the judgement that holds; null: none
  std::optional<Curve> curve;            // nothing where it could not be drawn
  std::optional<importer::Cycle> cycle;  // as this program reads it today; nothing when it finds none there
  std::optional<std::string> removed;    // why there is no file to read: it was removed on request
};

// Each by the seq of its curve-measured, in that order; an export is read once for all of its curves.
Result<std::vector<KeptCurve>> kept_curves(const Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                                           std::span<const std::int64_t> curves);

}  // namespace trayproof::picture
