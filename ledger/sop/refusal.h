// What the reader of the SOP file says when it refuses. Every refusal names its place, what was found and what is
// allowed.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "ledger/sop/keys.h"

namespace trayproof::sop {

struct Refusal {
  std::uint32_t line = 0;
  std::uint32_t column = 0;
  std::string sentence;
};

// "a number above 0 and up to 100 (%)", "one of required, allowed, forbidden".
std::string allowed_by(const Key& key);
// The names that may stand in a table, in the order of the key table: keys and tables within it.
std::string names_in(std::string_view table);
// "[steam] saturation_k", "[[steam.program]] band_k".
std::string place_of(const Key& key);
std::string heading_of(std::string_view table);
// The earliest in the file first; one error that holds all of them up to a limit, a line each.
Error as_error(std::vector<Refusal> refusals);

}  // namespace trayproof::sop
