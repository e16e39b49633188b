// Writes a zip whose bytes depend on nothing but its members: in order of their names, with one time for all and no
// trace of the machine. Members come in chunks when they are written, so that a large one is never in memory whole.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "ledger/base/time.h"

namespace trayproof::evidence {

// The next bytes of a member; an empty text is its end.
using Chunks = std::function<Result<std::string>()>;

struct Member {
  std::string name;
  std::function<Chunks()> open;  // from the beginning, as often as asked
  std::uint64_t bytes = 0;       // known once measured
  Digest sha256{};
};

Member member_of(std::string name, std::string bytes);
// Reads it once and fills `bytes` and `sha256`.
Result<void> measure(Member& member);

// `path` is replaced. The members were measured. `at` is cut to what a zip can hold: from 1980 on, even seconds, UTC.
Result<void> write_zip(const std::string& path, std::vector<Member>& members, Instant at);

}  // namespace trayproof::evidence
