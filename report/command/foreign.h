// Text of a file that somebody else wrote, as a terminal may show it: a control character could move the cursor, hide
// what was printed before, or name the window.
#pragma once

#include <string>
#include <string_view>

#include "ledger/base/utf8.h"
#include "ledger/text/unicode.h"

namespace trayproof::command {

// Each control character as U+FFFD; a tab stays.
inline std::string for_terminal(std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const char32_t point = next_code_point(text, at);
    append_utf8(out, point != U'\t' && is_control(point) ? U'\uFFFD' : point);
  }
  return out;
}

}  // namespace trayproof::command
