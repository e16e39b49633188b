#include "report/register/foreign_text.h"

#include "ledger/base/utf8.h"
#include "ledger/text/unicode.h"

namespace trayproof::registry {

std::string foreign_text(std::string_view text) {
  std::string out;
  if (first_bad_utf8(text)) {
    for (const char c : text) out += c >= 0x20 && c < 0x7f ? c : '?';
    return out;
  }
  for (std::size_t at = 0; at < text.size();) {
    const char32_t point = next_code_point(text, at);
    const bool harmless = point != '\n' && !is_control(point) && !is_direction_mark(point);
    append_utf8(out, harmless ? point : U'?');
  }
  return out;
}

}  // namespace trayproof::registry
