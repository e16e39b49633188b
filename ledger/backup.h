// A copy of a ledger on another disk: made while others go on recording, read back and verified whole, given its name
// in one step, and then recorded as `backup-made`. Private keys are in no backup: they stand in the key file only.
// docs/operations.md, "Copies", is the authority.
#pragma once

#include <cstdint>
#include <string>

#include "ledger/ledger.h"

namespace trayproof {

struct BackupMade {
  std::int64_t size = 0;  // events in the copy
  Digest root{};
  std::int64_t bytes = 0;
  std::int64_t seq = 0;  // of its `backup-made`; 0 when the ledger is read only and could not record it
};

// An older copy of the same record under that name is replaced, once the new one is verified; anything else there is
// refused (invalid), and so is a name that the event could not hold. Corrupt when the copy does not verify: then the
// ledger itself is damaged, or the disk that was copied to. Nothing is left behind on failure. `at` is now, in the
// facility's zone.
Result<BackupMade> make_backup(Ledger& ledger, const std::string& file, const std::string& at);

}  // namespace trayproof
