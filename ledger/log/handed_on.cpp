#include "ledger/log/handed_on.h"

namespace trayproof::log {

std::string as_signed(std::string_view handed_on) {
  constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
  if (handed_on.starts_with(byte_order_mark)) handed_on.remove_prefix(byte_order_mark.size());
  std::string text;
  text.reserve(handed_on.size() + 1);
  for (const char c : handed_on) {
    if (c == '\n' && text.ends_with('\r')) text.pop_back();
    text += c;
  }
  while (text.ends_with('\n') || text.ends_with(' ') || text.ends_with('\r')) text.pop_back();
  return text + "\n";
}

}  // namespace trayproof::log
