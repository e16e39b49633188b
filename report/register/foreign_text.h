// Texts of other people's ledgers as they may be shown: nothing checked their fields before they came here, and a
// control character or a mark of direction can make a terminal or a line say otherwise than what is stored.
#pragma once

#include <string>
#include <string_view>

namespace trayproof::registry {

// Control characters, line ends and marks of direction become "?"; of a text that is no UTF-8 every foreign byte does.
std::string foreign_text(std::string_view text);

}  // namespace trayproof::registry
