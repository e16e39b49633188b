// Which rules and programs read a key of the SOP file. The same as the column "read by" of docs/sop-format.md, which a
// test compares.
#pragma once

#include <string>
#include <string_view>

namespace trayproof::review {

// `name` as sop::full_name gives it without an element: "steam.program.band_k". Empty: nothing reads it.
std::string readers_of(std::string_view name);

}  // namespace trayproof::review
