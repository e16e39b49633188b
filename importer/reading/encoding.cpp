#include "importer/reading/encoding.h"

#include <algorithm>
#include <array>

#include "ledger/base/utf8.h"

namespace trayproof::reading {
namespace {

constexpr char32_t replacement = 0xFFFD;

// Windows-1252, 0x80 to 0x9F; the five free places keep their number, as browsers read them.
constexpr std::array<char16_t, 32> windows_high = {0x20AC, 0x0081, 0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021,
                                                   0x02C6, 0x2030, 0x0160, 0x2039, 0x0152, 0x008D, 0x017D, 0x008F,
                                                   0x0090, 0x2018, 0x2019, 0x201C, 0x201D, 0x2022, 0x2013, 0x2014,
                                                   0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0x009D, 0x017E, 0x0178};

// Length that a first byte of UTF-8 announces.
std::size_t announced(unsigned char first) { return first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : first >= 0xC0 ? 2 : 1; }

// How many bytes at the end begin a character whose end has not come: at most three.
std::size_t unfinished(std::string_view text) {
  for (std::size_t back = 1; back <= std::min<std::size_t>(3, text.size()); ++back) {
    const auto byte = static_cast<unsigned char>(text[text.size() - back]);
    if ((byte & 0xC0) == 0x80) continue;
    return announced(byte) > back ? back : 0;
  }
  return 0;
}

}  // namespace

std::string_view name_of(Encoding encoding) {
  switch (encoding) {
    case Encoding::utf8:
      return "utf-8";
    case Encoding::utf16le:
      return "utf-16le";
    case Encoding::utf16be:
      return "utf-16be";
    case Encoding::windows1252:
      return "windows-1252";
  }
  return "utf-8";
}

std::optional<Encoding> encoding_named(std::string_view name) {
  for (const auto one : {Encoding::utf8, Encoding::utf16le, Encoding::utf16be, Encoding::windows1252}) {
    if (name_of(one) == name) return one;
  }
  return std::nullopt;
}

Encoding detect_encoding(ByteView bytes) {
  const auto begins = [&](std::initializer_list<std::uint8_t> mark) {
    return bytes.size() >= mark.size() && std::equal(mark.begin(), mark.end(), bytes.begin());
  };
  if (begins({0xEF, 0xBB, 0xBF})) return Encoding::utf8;
  if (begins({0xFF, 0xFE})) return Encoding::utf16le;
  if (begins({0xFE, 0xFF})) return Encoding::utf16be;
  // Without a mark: western text in UTF-16 has a zero in every other byte, which no other encoding here has.
  const std::size_t looked = std::min<std::size_t>(bytes.size(), 4096);
  std::size_t zeros[2] = {0, 0};
  for (std::size_t i = 0; i < looked; ++i) {
    if (bytes[i] == 0) ++zeros[i % 2];
  }
  if (looked >= 4 && zeros[1] > looked / 4 && zeros[1] > 4 * zeros[0]) return Encoding::utf16le;
  if (looked >= 4 && zeros[0] > looked / 4 && zeros[0] > 4 * zeros[1]) return Encoding::utf16be;
  Utf8Watch watch;
  watch.feed(bytes);
  return watch.is_utf8() ? Encoding::utf8 : Encoding::windows1252;
}

std::size_t source_bytes(std::string_view decoded, Encoding encoding) {
  if (encoding == Encoding::utf8) {
    std::size_t replaced = 0;
    for (std::size_t at = decoded.find("\xEF\xBF\xBD"); at != std::string_view::npos;
         at = decoded.find("\xEF\xBF\xBD", at + 3)) {
      ++replaced;
    }
    return decoded.size() - 2 * replaced;
  }
  std::size_t points = 0;
  std::size_t pairs = 0;  // characters that UTF-16 writes in two units
  for (const char c : decoded) {
    if ((c & 0xC0) != 0x80) ++points;
    if ((c & 0xF8) == 0xF0) ++pairs;
  }
  return encoding == Encoding::windows1252 ? points : 2 * (points + pairs);
}

std::string_view Decoder::text(ByteView bytes, std::string& out) {
  const bool plain = (encoding_ == Encoding::utf8 || encoding_ == Encoding::windows1252) && pending_.empty() &&
                     is_ascii(as_text(bytes));
  if (plain) return as_text(bytes);
  out.clear();
  feed(bytes, out);
  return out;
}

// Mostly UTF-8 with a damaged byte here and there is still UTF-8; text in which the high bytes are mostly none is not.
bool Utf8Watch::is_utf8() const { return bad_ == 0 || high_ > 4 * bad_; }

void Utf8Watch::feed(ByteView bytes) {
  if (pending_.empty() && is_ascii(as_text(bytes))) return;
  pending_ += as_text(bytes);
  const std::size_t keep = unfinished(pending_);
  count(std::string_view(pending_).substr(0, pending_.size() - keep));
  pending_.erase(0, pending_.size() - keep);
}

void Utf8Watch::count(std::string_view text) {
  while (true) {
    const auto at = first_bad_utf8(text);
    const std::string_view good = text.substr(0, at.value_or(text.size()));
    high_ +=
        static_cast<std::size_t>(std::count_if(good.begin(), good.end(), [](char c) { return (c & 0xC0) == 0xC0; }));
    if (!at) return;
    ++bad_;
    text.remove_prefix(*at + 1);
  }
}

void Decoder::feed(ByteView bytes, std::string& out) {
  if (encoding_ == Encoding::windows1252) {
    for (const std::uint8_t byte : bytes) {
      append_utf8(out, byte >= 0x80 && byte < 0xA0 ? windows_high[byte - 0x80] : static_cast<char32_t>(byte));
    }
    return;
  }
  pending_ += as_text(bytes);
  if (encoding_ == Encoding::utf8) {
    feed_utf8(out, false);
  } else {
    feed_utf16(out);
  }
}

void Decoder::feed_utf8(std::string& out, bool last) {
  const std::size_t keep = last ? 0 : unfinished(pending_);
  std::string_view text = std::string_view(pending_).substr(0, pending_.size() - keep);
  while (const auto bad = first_bad_utf8(text)) {
    out += text.substr(0, *bad);
    append_utf8(out, replacement);
    text.remove_prefix(*bad + 1);
  }
  out += text;
  pending_.erase(0, pending_.size() - keep);
}

void Decoder::feed_utf16(std::string& out) {
  std::size_t at = 0;
  for (; at + 1 < pending_.size(); at += 2) {
    const unsigned first = static_cast<unsigned char>(pending_[at]);
    const unsigned second = static_cast<unsigned char>(pending_[at + 1]);
    const unsigned value = encoding_ == Encoding::utf16le ? first | second << 8U : first << 8U | second;
    unit(static_cast<char16_t>(value), out);
  }
  pending_.erase(0, at);
}

void Decoder::unit(char16_t code_unit, std::string& out) {
  const bool high = code_unit >= 0xD800 && code_unit < 0xDC00;
  const bool low = code_unit >= 0xDC00 && code_unit < 0xE000;
  if (high_surrogate_ != 0 && low) {
    append_utf8(out, 0x10000 + ((static_cast<char32_t>(high_surrogate_) - 0xD800) << 10) +
                         (static_cast<char32_t>(code_unit) - 0xDC00));
    high_surrogate_ = 0;
    return;
  }
  if (high_surrogate_ != 0) append_utf8(out, replacement);
  high_surrogate_ = high ? code_unit : char16_t{0};
  if (high) return;
  append_utf8(out, low ? replacement : static_cast<char32_t>(code_unit));
}

void Decoder::finish(std::string& out) {
  if (encoding_ == Encoding::utf8) feed_utf8(out, true);
  if (!pending_.empty() || high_surrogate_ != 0) append_utf8(out, replacement);
  pending_.clear();
  high_surrogate_ = 0;
}

}  // namespace trayproof::reading
