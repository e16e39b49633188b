// What one edition says otherwise than another, limit by limit, and whether that is stricter or looser. Stricter means:
// more is checked, or less passes. Programs, pairs and disinfectants are matched by what names them (temperature,
// agent).
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/result.h"

namespace trayproof::sop {

enum class Direction { stricter, looser, different };
std::string_view word(Direction direction);

struct Change {
  std::string key;                    // "steam.program 121 band_k"
  std::optional<std::string> before;  // nothing: not stated, so not checked
  std::optional<std::string> after;
  Direction direction = Direction::different;
};

struct Comparison {
  std::vector<Change> changes;  // in the order of the keys
  std::size_t same = 0;         // stated by both, alike
};

// Of the texts of two editions. The title, the edition and who approved it are no limits and are left out. Invalid when
// a text is no TOML; keys that this program does not know are compared by nobody (kept.h names them).
Result<Comparison> compare(std::string_view before, std::string_view after);

}  // namespace trayproof::sop
