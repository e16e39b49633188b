#include "report/workbook/cell_text.h"

#include <cstdint>
#include <cstring>

#include "ledger/base/utf8.h"

namespace trayproof::workbook {
namespace {

std::string shown(std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const char32_t c = next_code_point(text, at);
    if (c == U'\n' || c == U'\t')
      append_utf8(out, c);
    else if (c < 0x20)
      append_utf8(out, 0x2400 + c);
    else if (c == 0xFFFE || c == 0xFFFF)
      append_utf8(out, 0xFFFD);
    else
      append_utf8(out, c);
  }
  return out;
}

bool is_escape(std::string_view text) {
  if (text.size() < 7 || text.substr(0, 2) != "_x" || text[6] != '_') return false;
  return text.substr(2, 4).find_first_not_of("0123456789abcdefABCDEF") == std::string_view::npos;
}

std::string escaped(std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at < text.size(); ++at) {
    if (is_escape(text.substr(at))) out += "_x005F";
    out += text[at];
  }
  return out;
}

// What a text holds that has to be looked at again.
struct Odd {
  bool control = false;  // but line ends and tabs
  bool high = false;     // not ASCII
  bool underscore = false;
  bool line_end = false;
};

void look_at(unsigned char byte, Odd& odd) {
  odd.control |= byte < 0x20 && byte != '\n' && byte != '\t';
  odd.high |= byte >= 0x80;
  odd.underscore |= byte == '_';
  odd.line_end |= byte == '\n';
}

constexpr std::uint64_t each(std::uint64_t byte) { return 0x0101010101010101U * byte; }

// Whether any of eight bytes may be odd: below 0x20, from 0x80 on, or an underscore. Carries may tell of one too many,
// never of one too few.
bool any_odd(std::uint64_t eight) {
  const std::uint64_t underscores = eight ^ each('_');
  return ((eight | (eight - each(0x20)) | (underscores - each(1))) & each(0x80)) != 0;
}

Odd odd_of(std::string_view text) {
  Odd odd;
  std::size_t at = 0;
  for (std::uint64_t eight = 0; at + sizeof eight <= text.size(); at += sizeof eight) {
    std::memcpy(&eight, text.data() + at, sizeof eight);
    if (!any_odd(eight)) continue;
    for (std::size_t i = 0; i < sizeof eight; ++i) look_at(static_cast<unsigned char>(text[at + i]), odd);
  }
  for (; at < text.size(); ++at) look_at(static_cast<unsigned char>(text[at]), odd);
  return odd;
}

}  // namespace

CellChars cell_chars(const std::string& text, std::string& made) {
  const Odd odd = odd_of(text);
  if (odd.high) {
    if (const auto bad = first_bad_utf8(text)) return {nullptr, bad};
  }
  // U+FFFE and U+FFFF begin with these two bytes.
  const bool changed = odd.control || (odd.high && text.find("\xEF\xBF") != std::string::npos) ||
                       (odd.underscore && text.find("_x") != std::string::npos);
  if (!changed) return {&text, {}, odd.line_end};
  made = escaped(shown(text));
  return {&made, {}, odd.line_end};
}

}  // namespace trayproof::workbook
