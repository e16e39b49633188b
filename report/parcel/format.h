// What a parcel is made of: a zip with these members and no others. docs/parcel-format.md is the authority.
#pragma once

#include <string_view>

namespace trayproof::parcel {

inline constexpr std::string_view format_name = "trayproof/parcel/1";

inline constexpr std::string_view about_member = "parcel.json";
inline constexpr std::string_view growth_member = "growth.txt";  // consistency proof, ending in the checkpoint
inline constexpr std::string_view entries_member = "entries.jsonl";

}  // namespace trayproof::parcel
