// Stage 1: from a file's bytes to UTF-8. docs/import-reading.md is the authority on how the encoding is told.
//
// Decoding never fails: a byte or unit that is none in the encoding becomes U+FFFD, and what holds it will be refused
// by a later stage with its line.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "ledger/base/bytes.h"

namespace trayproof::reading {

enum class Encoding { utf8, utf16le, utf16be, windows1252 };

std::string_view name_of(Encoding encoding);
std::optional<Encoding> encoding_named(std::string_view name);

// How many bytes of the file a piece of decoded text was. Of damaged UTF-8 each U+FFFD counts as the one byte it stands
// for.
std::size_t source_bytes(std::string_view decoded, Encoding encoding);

// By byte-order mark, else valid UTF-8, else the zeros that UTF-16 leaves in western text, else Windows-1252.
Encoding detect_encoding(ByteView bytes);

// Takes bytes in chunks of any size and appends UTF-8; a leading byte-order mark is dropped.
class Decoder {
 public:
  explicit Decoder(Encoding encoding) : encoding_(encoding) {}
  void feed(ByteView bytes, std::string& out);
  void finish(std::string& out);
  // The bytes themselves where they are text already, else what `feed` puts into `out`, which is emptied first.
  std::string_view text(ByteView bytes, std::string& out);

 private:
  void feed_utf8(std::string& out, bool last);
  void feed_utf16(std::string& out);
  void unit(char16_t code_unit, std::string& out);

  Encoding encoding_;
  std::string pending_;  // bytes that wait for the rest of their character
  char16_t high_surrogate_ = 0;
};

// Watches a whole file for what its beginning cannot show: whether its bytes past ASCII are UTF-8.
class Utf8Watch {
 public:
  void feed(ByteView bytes);
  // Of bytes none of which is past ASCII, and of mostly good ones: yes.
  bool is_utf8() const;

 private:
  void count(std::string_view text);

  std::string pending_;  // a character whose end has not come
  std::size_t bad_ = 0;
  std::size_t high_ = 0;
};

}  // namespace trayproof::reading
