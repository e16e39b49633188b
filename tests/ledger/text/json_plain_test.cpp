// The fast reader for plain texts must give what the careful one gives, and nothing where that one refuses.
#include <random>

#include "ledger/text/json.h"
#include "ledger/text/json_read_plain.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

void agree(std::string_view text, std::size_t depth = json::depth_max) {
  json::Value plain;
  if (!json::read_plain(text, depth, plain)) return;  // left to the careful reader
  const auto careful = json::parse_carefully(text, depth);
  INFO(std::string(text));
  REQUIRE(careful.ok());
  CHECK(plain == careful.value());
}

}  // namespace

TEST_CASE("plain texts are read alike by both readers") {
  json::Value plain;
  const std::string_view line =
      R"({"kind":"packed","at":"2026-10-05T09:00:00+05:00","pack":"PK-1","n":[1,-2,2.5e3,0.125,true,null,{"a":"\u00e9"}]})";
  REQUIRE(json::read_plain(line, json::depth_max, plain));
  CHECK(plain == json::parse_carefully(line).value());
}

TEST_CASE("what the careful reader refuses is never read as plain") {
  for (const char* text : {"",
                           "{",
                           "[1,]",
                           "01",
                           "1.",
                           "NaN",
                           "{\"a\":1,\"a\":2}",
                           "[1.0000000000000001]",
                           "[1234567890123456]",
                           "[0.12345678901234567]",
                           "[1e400]",
                           "[1e-400]",
                           "[4.9e-324]",
                           "[0.0]",
                           "[-0]",
                           "[999999999999999]",
                           "[1000000000000000]",
                           "[99999999999999999999]",
                           "[\"\xC3\"]",
                           "[\"\\ud800\"]",
                           "[\"\t\"]",
                           "\xEF\xBB\xBF[1]",
                           "[1] 2",
                           "\"text\"",
                           "true",
                           " [ 1 , 2 ] "}) {
    agree(text);
  }
  agree("[[[[1]]]]", 3);
  agree("[[[1]]]", 3);
}

TEST_CASE("mutated lines are read alike or left to the careful reader") {
  const std::string line =
      R"({"kind":"load-ended","at":"2026-10-05T09:00:00+05:00","by":"ana","load":"L-1","temperature_c":121.5,)"
      R"("complete":true,"unknown":{"dry":"not-recorded"},"files":["00","11"],"note":"a\"b\\c\n \u0939"})";
  std::mt19937 random(20261125);
  const std::string_view bytes = "{}[]\",:0123456789.eE+-\\u \t\x80\xC3ntf";
  for (int i = 0; i < 20'000; ++i) {
    std::string changed = line;
    for (int k = 0; k < 3; ++k) {
      const std::size_t at = random() % changed.size();
      switch (random() % 3) {
        case 0:
          changed[at] = bytes[random() % bytes.size()];
          break;
        case 1:
          changed.erase(at, 1 + random() % 4);
          break;
        default:
          changed.insert(at, changed.substr(random() % changed.size(), 1 + random() % 12));
      }
    }
    agree(changed);
  }
}
