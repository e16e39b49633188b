// Standing exposure: what would be reached if the next biological test of each sterilizer came back positive. The same
// computation as a recall, with an imagined trigger after the latest load. docs/recall.md, "Standing exposure".
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "ledger/links/links.h"
#include "ledger/recall/answer.h"
#include "ledger/sop/sop.h"

namespace trayproof::recall {

struct Exposed {
  std::string equipment;
  std::optional<Bound> last_valid_negative;
  std::int64_t loads = 0, packs = 0, procedures = 0, patients = 0;
};

struct Exposure {
  Zone zone = Zone::utc();
  Instant as_of;
  std::vector<Exposed> sterilizers;  // by id
};

Result<Exposure> exposure(links::Links& links, const sop::Editions& editions);
json::Value to_json(const Exposure& exposure);

}  // namespace trayproof::recall
