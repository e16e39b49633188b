// The part of a check that a pack made with --whole allows: every entry of the record, so that the chain, the root and
// the completeness of the pack are worked out and not only proved.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>

#include "ledger/log/tree.h"
#include "report/evidence/check/archive.h"
#include "report/evidence/check/problems.h"

namespace trayproof::evidence {

struct WholeAsked {
  log::Head head;  // of the checkpoint
  std::string subject_kind, subject_id;
  const std::map<std::int64_t, Digest>& given;  // the entries that the pack holds for its subject
  std::uint64_t kept_size = 0;                  // the root over so many entries is kept
};

struct WholeFound {
  std::int64_t entries = 0;
  std::optional<Digest> kept_root;
};

// Problems: a break in the chain, another root, an entry of the pack that is another in the whole, an entry that names
// the subject and is not in the pack.
WholeFound walk_whole(MemberReader& lines, const WholeAsked& asked, Problems& problems);

}  // namespace trayproof::evidence
