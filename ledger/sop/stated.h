// What an edition says, key by key, as it stands in its text: for lists of the limits that judged something.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/sop/keys.h"

namespace trayproof::sop {

struct Stated {
  const Key* key = nullptr;
  std::size_t element = 0;  // within its list of tables, from 1; 0 for a table that stands once
  std::string value;        // "30", "true", "wrapped, drum"; numbers in their shortest form
};

// Every key once an element, in any order; what this program does not know is left out (kept.h). Invalid: no TOML.
Result<std::vector<Stated>> stated(std::string_view toml);

// "steam.program[1].hold_minutes_wrapped", "shelf.days.wrapped".
std::string full_name(const Key& key, std::size_t element = 0);

// The keys that hold even where the text says nothing, with what then holds.
std::optional<std::string> default_of(const Key& key);

}  // namespace trayproof::sop
