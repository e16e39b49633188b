// Which loads and packs a trigger affects: docs/recall.md, "Affected loads".
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "ledger/links/links.h"
#include "ledger/recall/answer.h"
#include "ledger/recall/request.h"
#include "ledger/sop/sop.h"

namespace trayproof::recall {

struct Affected {
  std::vector<std::string> loads;       // with every pack of theirs
  std::vector<AffectedLoad> in_window;  // likewise, and read already
  std::vector<std::string> packs;       // named: they affect every load that holds them, for themselves only
  std::optional<std::pair<std::string, std::string>> pack_of_load;  // one load, for one pack of it only
  std::vector<std::string> handled;                                 // packs soaked in a weak decontamination solution
  std::vector<std::int64_t> procedures;                             // reached by themselves, without a pack: origins
  std::optional<std::string> index_procedure;
  std::optional<Bound> after, before;
};

// Missing when no event names the subject.
Result<Affected> affected_by(const Request& request, links::Links& links, const sop::Editions& editions);

}  // namespace trayproof::recall
