#include "importer/reading/encoding.h"

#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::reading;

namespace {

std::string decoded(std::string_view bytes, Encoding encoding, std::size_t chunk = 1000) {
  Decoder decoder(encoding);
  std::string out;
  for (std::size_t at = 0; at < bytes.size(); at += chunk) decoder.feed(as_bytes(bytes.substr(at, chunk)), out);
  decoder.finish(out);
  return out;
}

}  // namespace

TEST_SUITE("importer/reading/encoding.h") {
  TEST_CASE("byte-order marks decide") {
    CHECK(detect_encoding(as_bytes("\xEF\xBB\xBF"
                                   "a")) == Encoding::utf8);
    CHECK(detect_encoding(as_bytes(std::string_view("\xFF\xFE"
                                                    "a\0",
                                                    4))) == Encoding::utf16le);
    CHECK(detect_encoding(as_bytes(std::string_view("\xFE\xFF\0a", 4))) == Encoding::utf16be);
  }

  TEST_CASE("a lone degree sign in Latin-1 is Windows-1252 and in UTF-8 is UTF-8") {
    CHECK(detect_encoding(as_bytes("T \xB0"
                                   "C;1")) == Encoding::windows1252);
    CHECK(detect_encoding(as_bytes("T \xC2\xB0"
                                   "C;1")) == Encoding::utf8);
    CHECK(decoded("T \xB0"
                  "C \x80",
                  Encoding::windows1252) == "T °C €");
  }

  TEST_CASE("a damaged byte in much UTF-8 does not make it Windows-1252") {
    CHECK(detect_encoding(as_bytes("°C °C °C °C °C °C \xFF")) == Encoding::utf8);
    CHECK(decoded("°C\xFF!", Encoding::utf8) == "°C\xEF\xBF\xBD!");
  }

  TEST_CASE("UTF-16 with pairs of surrogates and chunks that cut them") {
    const std::string_view text(
        "\x3D\xD8\x02\xDE"
        "a\0\xB0\0",
        8);  // U+1F602, a, degree sign
    for (const std::size_t chunk : {1U, 2U, 3U, 7U})
      CHECK(decoded(text, Encoding::utf16le, chunk) ==
            "\xF0\x9F\x98\x82"
            "a°");
    CHECK(decoded(std::string_view("\x3D\xD8"
                                   "a\0",
                                   4),
                  Encoding::utf16le) ==
          "\xEF\xBF\xBD"
          "a");
    CHECK(decoded(std::string_view("a\0b", 3), Encoding::utf16le) == "a\xEF\xBF\xBD");
  }
}
