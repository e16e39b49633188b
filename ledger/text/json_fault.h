// Where in an event that `parse` refuses the refused thing stands.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace trayproof::json {

// The member that was being read when `parse_carefully` refused a text that is JSON all the same (a number that cannot
// be kept, a member given twice, too deep): its name, with those of the objects around it in front (`replacement.hold_min`).
// Empty when the text is taken, or is no JSON.
std::string member_at_fault(std::string_view text, std::size_t depth);

}  // namespace trayproof::json
