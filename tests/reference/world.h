// Small invented facilities, made by chance from a seed, and the recalls that make sense to ask of them.
//
// The events are as a recorder gives them (docs/ledger-format.md): every one is acceptable on its own and the file is
// as a whole, whatever the order of its lines. Corrections and placed curves name seqs, so the world is told the seq
// that its first line will have.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "ledger/base/time.h"
#include "ledger/text/json.h"
#include "tests/reference/affected.h"
#include "tests/reference/effective_events.h"

namespace trayproof::reference {

// Whether the world carries curve-measured and curve-placed, which only the program itself may write.
enum class Curves { none, written };

struct World {
  std::uint64_t seed = 0;
  std::int64_t first_seq = 0;
  std::string zone;      // for facility-described
  std::string sop_toml;  // the first edition
  std::vector<json::Value> events;
  std::vector<RecallRequest> requests;
  Instant opened;  // when the ledger was made: earlier than everything in it
  Instant now;     // later than everything in it
};

World make_world(std::uint64_t seed, std::int64_t first_seq, Curves curves);

// One event a line.
std::string lines_of(const World& world);
// The entries as a ledger would hold them, without a ledger: patient numbers stand for their own pseudonyms. In front
// stand facility-described and sop-adopted at the two seqs before the first line.
std::vector<Entry> entries_of(const World& world);
// The request as one line of JSON, for messages.
std::string shown(const RecallRequest& request);

}  // namespace trayproof::reference
