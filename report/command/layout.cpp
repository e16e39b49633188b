#include "report/command/layout.h"

#include <algorithm>

#include "ledger/base/nonspacing.h"
#include "ledger/base/utf8.h"

namespace trayproof::command {
namespace {

// The usual blocks of signs that terminals draw two columns wide (Unicode 15, East Asian Width).
bool is_wide(char32_t c) {
  return (c >= 0x1100 && c <= 0x115f) || (c >= 0x2e80 && c <= 0xa4cf) || (c >= 0xac00 && c <= 0xd7a3) ||
         (c >= 0xf900 && c <= 0xfaff) || (c >= 0xff00 && c <= 0xff60) || (c >= 0x1f300 && c <= 0x1faff);
}

}  // namespace

std::size_t text_columns(const Context& context) {
  constexpr int usual = 80;
  constexpr int least = 40;
  constexpr int most = 160;
  if (context.terminal_columns <= 0) return usual;
  return static_cast<std::size_t>(std::clamp(context.terminal_columns, least, most));
}

std::size_t display_width(std::string_view text) {
  std::size_t width = 0;
  for (std::size_t at = 0; at < text.size();) {
    const char32_t c = next_code_point(text, at);
    if (!is_nonspacing(c)) width += is_wide(c) ? 2U : 1U;
  }
  return width;
}

std::string folded(std::string_view text, std::size_t columns, std::size_t indent) {
  std::string out;
  std::size_t used = 0;
  bool begins = true;  // nothing stands on this line yet
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find_first_of(" \n", at), text.size());
    const std::string_view word = text.substr(at, end - at);
    const std::size_t width = display_width(word);
    if (!begins && used + 1 + width > columns) {
      out += '\n' + std::string(indent, ' ');
      used = indent;
    } else if (!begins) {
      out += ' ';
      ++used;
    }
    out += word;
    used += width;
    begins = end < text.size() && text[end] == '\n';
    if (begins) {
      out += '\n';
      used = 0;
    }
    at = end + 1;
  }
  return out;
}

}  // namespace trayproof::command
