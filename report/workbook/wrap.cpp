#include "report/workbook/wrap.h"

#include <algorithm>
#include <array>

#include "ledger/base/nonspacing.h"
#include "ledger/base/utf8.h"

namespace trayproof::workbook {
namespace {

// No character takes more for each of its bytes.
constexpr double room_of_byte_max = 1.2;

// The room of a character in units of a column's width (a digit of the book's standard font), for Arial 10.
constexpr double room_of(char32_t c) {
  if (c >= U'0' && c <= U'9') return 1.06;
  if (c >= U'A' && c <= U'Z') return 1.2;
  if (c < 0x80) return 0.9;
  if (is_nonspacing(c)) return 0;
  return c < 0x2E80 ? 1.1 : 2.0;
}

constexpr auto ascii_rooms = [] {
  std::array<double, 0x80> rooms{};
  for (std::size_t c = 0; c < rooms.size(); ++c) rooms[c] = room_of(static_cast<char32_t>(c));
  return rooms;
}();

double room_of(std::string_view word) {
  double room = 0;
  for (std::size_t at = 0; at < word.size();) {
    const auto byte = static_cast<unsigned char>(word[at]);
    room += byte < 0x80 ? ascii_rooms[static_cast<unsigned char>(word[at++])] : room_of(next_code_point(word, at));
  }
  return room;
}

// Most texts surely fit one line; the margin is wider than what adding up could round away.
bool surely_fits(std::string_view text, double width) {
  return static_cast<double>(text.size() + 1) * room_of_byte_max < width;
}

// Of one line without line ends.
std::size_t lines_of(std::string_view text, double width) {
  if (surely_fits(text, width)) return 1;
  std::size_t lines = 1;
  double used = 0;
  for (std::size_t begin = 0; begin < text.size();) {
    const std::size_t end = std::min(text.find(' ', begin), text.size());
    const double word = room_of(text.substr(begin, end - begin));
    const double blank = used > 0 ? room_of(U' ') : 0;
    if (used > 0 && used + blank + word > width) {
      ++lines;
      used = word;
    } else {
      used += blank + word;
    }
    while (used > width) {
      ++lines;
      used -= width;
    }
    begin = end + 1;
  }
  return lines;
}

}  // namespace

std::size_t lines_in(std::string_view text, double width, bool broken) {
  const double room = std::max(width, 4.0);
  if (!broken) return lines_of(text, room);
  std::size_t lines = 0;
  for (std::size_t begin = 0; begin <= text.size();) {
    const std::size_t end = std::min(text.find('\n', begin), text.size());
    lines += lines_of(text.substr(begin, end - begin), room);
    begin = end + 1;
  }
  return lines;
}

std::size_t lines_in(std::string_view text, double width) {
  return lines_in(text, width, text.find('\n') != std::string_view::npos);
}

}  // namespace trayproof::workbook
