// A curve of the record drawn again from its kept file, as it was read, placed and judged.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "importer/evidence.h"
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

// `curve` is the seq of its curve-measured.
Result<KeptCurve> kept_curve(const Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                             std::int64_t curve);

}  // namespace trayproof::picture
