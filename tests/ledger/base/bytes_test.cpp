#include "ledger/base/bytes.h"

#include "tests/support/test.h"

using namespace trayproof;

// RFC 4648 section 10.
TEST_CASE("base64 reads and writes the published vectors") {
  struct Row {
    const char* plain;
    const char* coded;
  };
  const Row rows[] = {{"", ""},
                      {"f", "Zg=="},
                      {"fo", "Zm8="},
                      {"foo", "Zm9v"},
                      {"foob", "Zm9vYg=="},
                      {"fooba", "Zm9vYmE="},
                      {"foobar", "Zm9vYmFy"}};
  for (const Row& row : rows) {
    CHECK_EQ(base64(as_bytes(row.plain)), row.coded);
    const auto back = from_base64(row.coded);
    REQUIRE(back);
    CHECK_EQ(as_text(*back), row.plain);
  }
}

TEST_CASE("base64 has one spelling for the same bytes") {
  for (const char* bad :
       {"Zg", "Zg=", "Zg===", "Zh==", "Zm9=", "Zm 9v", "Zm9v\n", "=Zm9", "Z===", "Zm-_", "Zm9v====", "Zg==Zg=="}) {
    INFO(std::string(bad));
    CHECK(!from_base64(bad));
  }
}

TEST_CASE("every byte survives hex and base64") {
  Bytes all(256);
  for (std::size_t i = 0; i < all.size(); ++i) all[i] = static_cast<std::uint8_t>(i);
  for (std::size_t length = 0; length <= all.size(); ++length) {
    const ByteView part = ByteView(all).first(length);
    REQUIRE(from_hex(hex(part)) == Bytes(part.begin(), part.end()));
    REQUIRE(from_base64(base64(part)) == Bytes(part.begin(), part.end()));
  }
}

TEST_CASE("hex is lower case and of an even length") {
  CHECK_EQ(hex(as_bytes("\x01\xAB")), "01ab");
  for (const char* bad : {"0", "0g", "AB", "0x01", " 01", "01 ", "a\xC3"}) {
    INFO(std::string(bad));
    CHECK(!from_hex(bad));
  }
  CHECK(from_hex("").has_value());
  CHECK(is_hex("00ff", 2));
  CHECK(!is_hex("00FF", 2));
  CHECK(!is_hex("00ff", 3));
  Digest digest{};
  CHECK(!from_hex("00", digest));
}
