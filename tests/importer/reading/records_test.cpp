#include "importer/reading/records.h"

#include "tests/support/test.h"

using namespace trayproof::reading;

namespace {

// Each record as "line:cell|cell".
std::vector<std::string> records(std::string_view text, Delimiter delimiter, std::size_t chunk = 1000) {
  std::vector<std::string> out;
  Records parser(delimiter, [&](const Record& record) {
    std::string one = std::to_string(record.line) + ":";
    for (std::size_t i = 0; i < record.cells.size(); ++i) one += (i > 0 ? "|" : "") + std::string(record.cells[i].text);
    out.push_back(one);
  });
  Lines lines([&](const TextLine& line) { parser.line(line); });
  for (std::size_t at = 0; at < text.size(); at += chunk) lines.feed(text.substr(at, chunk));
  lines.finish();
  parser.finish();
  return out;
}

using List = std::vector<std::string>;

}  // namespace

TEST_SUITE("importer/reading/records.h") {
  TEST_CASE("every line end ends a line and the last line needs none") {
    CHECK(records("a,b\r\nc,d\ne,f\rg,h", Delimiter::comma) == List{"1:a|b", "2:c|d", "3:e|f", "4:g|h"});
    for (const std::size_t chunk : {1U, 2U, 3U}) {
      CHECK(records("a\r\n\r\nb\r\rc\n", Delimiter::comma, chunk) == List{"1:a", "2:", "3:b", "4:", "5:c"});
    }
  }

  TEST_CASE("quotes hold separators and quotes and line ends") {
    CHECK(records("\"a,b\",\"c \"\"d\"\"\"\n", Delimiter::comma) == List{"1:a,b|c \"d\""});
    CHECK(records("1,\"two\nlines\",3\n4,5,6\n", Delimiter::comma) == List{"1:1|two\nlines|3", "3:4|5|6"});
  }

  TEST_CASE("a quote in the middle of a cell is a character") {
    CHECK(records("24\" probe,1\n", Delimiter::comma) == List{"1:24\" probe|1"});
    CHECK(records("\"a\"b,1\n", Delimiter::comma) == List{"1:\"a\"b|1"});
  }

  TEST_CASE("a quote that never closes is a character and later lines are their own") {
    std::string text = "1,\"open\n";
    for (int i = 2; i < 15; ++i) text += std::to_string(i) + ",x\n";
    const auto found = records(text, Delimiter::comma);
    REQUIRE(found.size() == 14);
    CHECK(found[0] == "1:1|\"open");
    CHECK(found[13] == "14:14|x");
  }

  TEST_CASE("blanks part columns by one or by two") {
    CHECK(records("a  b c\td\n", Delimiter::blanks) == List{"1:a|b|c|d"});
    CHECK(records("a b  c d\n", Delimiter::wide_blanks) == List{"1:a b|c d"});
    CHECK(records("  1.0   \"x y\"  2\n", Delimiter::blanks) == List{"1:1.0|x y|2"});
  }

  TEST_CASE("outer blanks and no-break spaces are no part of a cell") {
    CHECK(records(" a ;\xC2\xA0"
                  "b\xC2\xA0;\n",
                  Delimiter::semicolon) == List{"1:a|b|"});
  }
}
