// Short names of zones behind a time.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace trayproof::reading {

// Minutes of the names that mean one offset wherever they are written. Not among them: IST, CST, BST, EST and others
// that mean several; a row with one of those is refused.
std::optional<std::int16_t> zone_word(std::string_view word);

}  // namespace trayproof::reading
