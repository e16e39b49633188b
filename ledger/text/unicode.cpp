#include "ledger/text/unicode.h"

#include <unicode/bytestream.h>
#include <unicode/normalizer2.h>
#include <unicode/stringpiece.h>
#include <unicode/uchar.h>

#include "ledger/base/check.h"
#include "ledger/base/utf8.h"

namespace trayproof {

std::string nfc(std::string_view text) {
  if (is_ascii(text)) return std::string(text);
  UErrorCode status = U_ZERO_ERROR;
  const icu::Normalizer2* normalizer = icu::Normalizer2::getNFCInstance(status);
  CHECK(U_SUCCESS(status));
  std::string out;
  icu::StringByteSink<std::string> sink(&out);
  normalizer->normalizeUTF8(0, icu::StringPiece(text.data(), static_cast<std::int32_t>(text.size())), sink, nullptr,
                            status);
  CHECK(U_SUCCESS(status));
  return out;
}

std::string folded(std::string_view text) {
  UErrorCode status = U_ZERO_ERROR;
  const icu::Normalizer2* folding = icu::Normalizer2::getNFKCCasefoldInstance(status);
  const icu::Normalizer2* parting = icu::Normalizer2::getNFDInstance(status);
  CHECK(U_SUCCESS(status));
  const auto through = [&](const icu::Normalizer2* normalizer, std::string_view from) {
    std::string out;
    icu::StringByteSink<std::string> sink(&out);
    normalizer->normalizeUTF8(0, icu::StringPiece(from.data(), static_cast<std::int32_t>(from.size())), sink, nullptr,
                              status);
    CHECK(U_SUCCESS(status));
    return out;
  };
  const std::string parted = through(parting, through(folding, text));
  std::string out;
  for (std::size_t at = 0; at < parted.size();) {
    const char32_t point = next_code_point(parted, at);
    if (u_charType(static_cast<UChar32>(point)) != U_NON_SPACING_MARK) append_utf8(out, point);
  }
  return out;
}

bool is_letter_or_digit(char32_t c) {
  if (c < 0x80) return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
  const auto code = static_cast<UChar32>(c);
  if (u_isalnum(code)) return true;
  const auto type = u_charType(code);
  return type == U_NON_SPACING_MARK || type == U_COMBINING_SPACING_MARK || type == U_ENCLOSING_MARK;
}

bool is_id_letter(char32_t c) {
  if (c == 0x200C || c == 0x200D) return true;  // the joiners that several scripts need inside a word
  return is_letter_or_digit(c);
}

bool is_control(char32_t c) { return c < 0x20 || (c >= 0x7F && c < 0xA0); }

bool is_direction_mark(char32_t c) { return (c >= 0x202A && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069); }

}  // namespace trayproof
