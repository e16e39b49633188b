// What a PIN must be. At least six characters, and none of those that are guessed first: whoever has the key file can
// try PINs without end, and only the number of guesses holds them up (docs/decisions/0015).
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace trayproof::people {

enum class PinFault {
  too_short,  // under 6 characters
  too_long,   // over 128 bytes
  not_text,   // no UTF-8, or control characters
  too_plain,  // one character, a run, a repeated piece, or a much used one
  is_name,    // holds the person's id, or is held by it
};
// Nothing when it will do.
std::optional<PinFault> pin_fault(std::string_view pin, std::string_view person);
// The sentence for people.
std::string word(PinFault fault);

}  // namespace trayproof::people
