// What comes from elsewhere against what a pack shows: the ledger's key, and a checkpoint of the same, an earlier or a
// later state.
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "ledger/log/note.h"
#include "report/evidence/check/archive.h"
#include "report/evidence/check/check.h"
#include "report/evidence/check/entry_walk.h"

namespace trayproof::evidence {

struct Shown {
  const Archive& archive;
  const log::Note& note;              // of the pack
  const log::Checkpoint& checkpoint;  // of the pack
  const std::map<std::string, KnownKey>& keys;
  const std::vector<DeclaredLoss>& losses;
  // The root over the first entries, where the pack has them all.
  std::function<std::optional<Digest>(std::uint64_t size)> root_at;
};

// Fills `by_key`, `by_checkpoint`, `open`; what contradicts the pack is a problem.
void hold_against(const Anchor& anchor, const Shown& shown, Problems& problems, Checked& checked);

// A ledger key among those of the pack whose signature stands under the note; null when there is none.
const std::string* signer_of(const log::Note& note, const std::string& origin,
                             const std::map<std::string, KnownKey>& keys);

}  // namespace trayproof::evidence
