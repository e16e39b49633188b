// Why something given to the ledger was not taken: plain data, one for each field that does not fit.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace trayproof::events {

struct Refusal {
  std::int64_t line = 0;  // of the file, from 1; 0 when there is none
  std::string field;  // as the recorder would write it, `replacement.packs` for nested ones; empty for the whole line
  std::string why;    // what was found and what is allowed; patient numbers masked
};

using Refusals = std::vector<Refusal>;

}  // namespace trayproof::events
