#include "ledger/base/utf8.h"

#include "tests/support/test.h"

using namespace trayproof;

TEST_CASE("every code point of Unicode survives being written and read") {
  for (char32_t c = 0; c <= 0x10FFFF; ++c) {
    if (c >= 0xD800 && c <= 0xDFFF) continue;
    std::string text;
    append_utf8(text, c);
    REQUIRE(!first_bad_utf8(text));
    REQUIRE(code_points(text) == 1);
    std::size_t at = 0;
    REQUIRE(next_code_point(text, at) == c);
    REQUIRE(at == text.size());
  }
}

// The ill-formed sequences of the Unicode standard, section 3.9, table 3-7 and its examples.
TEST_CASE("what is no UTF-8 is found at its first byte") {
  struct Row {
    std::string_view text;
    std::size_t bad;
  };
  const Row rows[] = {
      {"\x80", 0},
      {"\xC0\x80", 0},
      {"\xC1\xBF", 0},
      {"a\xC3", 1},
      {"\xE0\x9F\xBF", 0},
      {"\xED\xA0\x80", 0},
      {"\xED\xBF\xBF", 0},
      {"\xE2\x82", 0},
      {"\xF0\x8F\xBF\xBF", 0},
      {"\xF4\x90\x80\x80", 0},
      {"\xF5\x80\x80\x80", 0},
      {"ab\xFF", 2},
      {"\xC3\xA9\xC3", 2},
      {"\xE2\x82\x41", 0},
  };
  for (const Row& row : rows) CHECK(first_bad_utf8(row.text) == row.bad);
  CHECK(!first_bad_utf8("\xC3\xA9\xE2\x82\xAC\xF0\x9F\x98\x82"));
}

TEST_CASE("a shortened text is cut between code points and says so") {
  CHECK_EQ(shortened("käse", 4), "käse");
  CHECK_EQ(shortened("käse", 2), "kä…");
  CHECK_EQ(shortened("", 2), "");
}
