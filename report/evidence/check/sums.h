// The pack's own list of hashes against its members, in the form of sha256sum.
#pragma once

#include "report/evidence/check/archive.h"
#include "report/evidence/check/problems.h"

namespace trayproof::evidence {

// Every member but the list and its signature is in it, and it names nothing else. The hash of the list itself.
Digest check_sums(const Archive& archive, Problems& problems);

}  // namespace trayproof::evidence
