// What the pass over the bytes calls canonical must be what reading, printing and comparing call so; and of what they
// call so, it leaves to them only what has a backslash or an exponent.
#include "ledger/text/json_canonical.h"

#include <cmath>
#include <random>

#include "ledger/base/number.h"
#include "ledger/base/utf8.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

bool is_canonical(std::string_view text, std::size_t depth) {
  const auto value = json::parse_carefully(text, depth);
  return value.ok() && value.value().is_object() && json::canonical(value.value()) == text;
}

// The answer of both, which agree.
bool agree(std::string_view text, std::size_t depth = json::depth_max) {
  json::CanonicalObject object;
  const bool found = object.read(text, depth);
  INFO(std::string(text));
  const bool wanted = is_canonical(text, depth);
  if (found) {
    REQUIRE(wanted);
    const auto value = json::parse_carefully(text, depth);
    for (const json::Member& member : value.value().members()) {
      CHECK(object.text_at(member.name) == value.value().text_at(member.name));
      CHECK(object.number_at(member.name) == value.value().number_at(member.name));
    }
    CHECK(!object.text_at("no such name"));
    CHECK(!object.number_at("no such name"));
  }
  if (wanted && text.find('\\') == std::string_view::npos && text.find("e-") == std::string_view::npos) CHECK(found);
  return found;
}

class Invented {
 public:
  explicit Invented(std::uint32_t seed) : random_(seed) {}

  json::Value object(int depth) {
    json::Value out = json::Value::object();
    const std::size_t count = below(7);
    for (std::size_t i = 0; i < count; ++i) out.set(text(), value(depth));
    return out;
  }
  std::size_t below(std::size_t bound) { return random_() % bound; }

 private:
  json::Value value(int depth) {
    switch (below(depth > 0 ? 8 : 6)) {
      case 0:
        return {};
      case 1:
        return below(2) == 0;
      case 2:
        return number();
      case 3:
        return static_cast<std::int64_t>(random_()) * (below(2) == 0 ? 1 : -1);
      case 4:
      case 5:
        return text();
      case 6:
        return object(depth - 1);
      default: {
        json::Value list = json::Value::list();
        for (std::size_t i = below(4); i > 0; --i) list.push(value(depth - 1));
        return list;
      }
    }
  }
  // At most 15 digits that count, of every size.
  double number() {
    std::string digits = std::to_string(1 + random_() % 9);
    for (std::size_t i = below(15); i > 0; --i) digits += static_cast<char>('0' + random_() % 10);
    const int power = static_cast<int>(below(24)) - 23 + (below(8) == 0 ? 15 : 0);
    const auto read = parse_number(digits + "e" + std::to_string(power));
    return std::abs(*read) < 999'999'999'999'999.0 ? *read : 1.5;
  }
  std::string text() {
    static constexpr char32_t letters[] = {'a',  'b', 'k',  'z',   '0',    '_',    '-',    ' ',    '/',
                                           0x7F, 'v', 0xE9, 0x939, 0x20AC, 0xD7FF, 0xE000, 0xFFFD, 0x1F602};
    static constexpr char32_t escaped[] = {'"', '\\', '\n', 0x01, 0x00};
    std::string out;
    for (std::size_t i = below(20); i > 0; --i)
      append_utf8(out, below(200) == 0 ? escaped[below(std::size(escaped))] : letters[below(std::size(letters))]);
    return out;
  }
  std::mt19937 random_;
};

}  // namespace

TEST_CASE("a canonical object is known for one and says what its members say") {
  constexpr std::string_view line =
      R"({"at":"2026-10-05T09:00:00+05:00","deep":{"a":[1,-2,0.125,true,null,{}],"é":[]},"n":-12.5,"note":"é","v":1})";
  json::CanonicalObject object;
  REQUIRE(object.read(line));
  CHECK(object.text_at("note") == "é");
  CHECK(object.text_at("at") == "2026-10-05T09:00:00+05:00");
  CHECK(object.number_at("n") == -12.5);
  CHECK(object.number_at("v") == 1.0);
  CHECK(!object.text_at("v"));
  CHECK(!object.number_at("note"));
  CHECK(!object.text_at("a"));  // a member of a member
  CHECK(agree(line));
  CHECK(agree("{}"));
  CHECK(object.read("{}"));
  CHECK(!object.text_at("note"));  // of what was read before, nothing is left
}

TEST_CASE("what is another spelling or no object is not called canonical") {
  for (const char* text :
       {"", "{", "}", "[]", "1", "\"text\"", "null", " {}", "{} ", "{}{}", "{ }", "{\"a\"}", "{\"a\":}", "{\"a\":1,}",
        "{,\"a\":1}", "{\"a\":1 ,\"b\":2}", "{\"a\": 1}", "{\"b\":1,\"a\":2}", "{\"a\":1,\"a\":1}", "{\"\":1,\"\":1}",
        "{a:1}", "{1:1}", "{\"a\":tru}", "{\"a\":truer}", "{\"a\":True}", "{\"a\":[1,]}", "{\"a\":[,1]}", "{\"a\":[1}",
        "{\"a\":[1]]}", "{\"a\":\"b}", "{\"a\":\"\t\"}", "{\"a\":\"\\u0041\"}", "{\"a\":\"\\/\"}", "{\"a\":\"\xC3\"}",
        "{\"a\":\"\xED\xA0\x80\"}", "{\"\xC3\":1}", "\xEF\xBB\xBF{}",
        // U+1F602 sorts before U+FB33 by UTF-16, behind it by bytes.
        "{\"\xEF\xAC\xB3\":1,\"\xF0\x9F\x98\x82\":2}"})
    CHECK(!agree(text));
  CHECK(!agree(std::string_view("{\"a\":\"\0\"}", 9)));
  CHECK(agree("{\"\xF0\x9F\x98\x82\":2,\"\xEF\xAC\xB3\":1}"));
}

TEST_CASE("numbers are canonical exactly where printing them gives their spelling") {
  for (const char* canonical :
       {"0", "1", "-1", "10", "999999999999999", "-999999999999999", "0.5", "-0.5", "1.5", "0.000001",
        "0.00000123456789012345", "123456789012.345", "0.1", "12345678901234.5", "100000000000000"})
    CHECK_MESSAGE(agree("{\"n\":" + std::string(canonical) + "}"), canonical);
  for (const char* other : {"",
                            "-",
                            "00",
                            "01",
                            "-0",
                            "-01",
                            "+1",
                            "1.",
                            ".5",
                            "-.5",
                            "1.0",
                            "1.50",
                            "0.0",
                            "-0.0",
                            "0.0000001",
                            "0.00000012",
                            "1e3",
                            "1E3",
                            "1e-7",
                            "1.5e-7",
                            "1e",
                            "1000000000000000",
                            "9999999999999999",
                            "1234567890.123456",
                            "0.1234567890123456",
                            "0.0000011234567890123456",
                            "1.2.3",
                            "1-",
                            "--1",
                            "0x1",
                            "NaN",
                            "Infinity",
                            "1 ",
                            "1_000",
                            "123456789012345.5",
                            "0.10000000000000001"})
    CHECK_MESSAGE(!agree("{\"n\":" + std::string(other) + "}"), other);
}

TEST_CASE("the limit of depth is that of reading") {
  CHECK(!agree("{}", 0));
  for (std::size_t depth = 1; depth < 6; ++depth) {
    for (std::size_t limit = 0; limit < 8; ++limit) {
      CHECK(agree("{\"a\":" + std::string(depth, '[') + std::string(depth, ']') + "}", limit) == (depth + 1 <= limit));
      std::string objects = "{}";
      for (std::size_t i = 0; i < depth; ++i) objects = "{\"a\":" + objects + "}";
      CHECK(agree(objects, limit) == (depth + 1 <= limit));
    }
  }
}

TEST_CASE("invented objects in their canonical spelling and with changes are judged alike") {
  constexpr std::string_view bytes = "{}[]\",:0123456789.eE+-\\u \t\x7F\x80\xC3ntf";
  Invented invented(20261130);
  int held = 0;
  int changed_and_held = 0;
  for (int i = 0; i < 20'000; ++i) {
    const json::Value value = invented.object(4);
    const std::string text = json::canonical(value);
    held += agree(text) ? 1 : 0;
    agree(json::plain(value));  // members in any order
    for (int k = 0; k < 5; ++k) {
      std::string changed = text;
      const std::size_t at = invented.below(changed.size());
      switch (invented.below(4)) {
        case 0:
          changed[at] = bytes[invented.below(bytes.size())];
          break;
        case 1:
          changed.erase(at, 1 + invented.below(3));
          break;
        case 2:
          changed.insert(at, 1, bytes[invented.below(bytes.size())]);
          break;
        default:
          changed.insert(at, changed.substr(invented.below(changed.size()), 1 + invented.below(12)));
      }
      changed_and_held += agree(changed) ? 1 : 0;
    }
  }
  // Both answers come often, so that neither side of the comparison is idle.
  CHECK(held > 10'000);
  CHECK(held < 20'000);
  CHECK(changed_and_held > 5'000);
  CHECK(changed_and_held < 90'000);
}
