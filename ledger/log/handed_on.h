// Signed notes as editors, mail and browsers hand them on.
#pragma once

#include <string>
#include <string_view>

namespace trayproof::log {

// With the bytes that the note had when it was signed: without a byte order mark at its start, with line ends of one
// character, and one at the end. Nothing else is changed.
std::string as_signed(std::string_view handed_on);

}  // namespace trayproof::log
