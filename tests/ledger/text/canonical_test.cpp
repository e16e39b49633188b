#include <algorithm>

#include "ledger/base/utf8.h"
#include "ledger/crypto/hash.h"
#include "ledger/text/json.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

std::string canonical_of(std::string_view text) {
  const auto value = json::parse(text);
  INFO((value.ok() ? std::string() : value.error().sentence()));
  REQUIRE(value.ok());
  return json::canonical(value.value());
}

std::string sha256_of(const std::string& text) { return hex(crypto::sha256(as_bytes(text))); }

}  // namespace

// cyberphone/json-canonicalization @19d51d7f, testdata/input and testdata/output: the outputs by their SHA-256.
TEST_CASE("arrays and structures have the canonical bytes of the published files") {
  const std::string arrays = canonical_of("[\n  56,\n  {\n    \"d\": true,\n    \"10\": null,\n    \"1\": [ ]\n  }\n]");
  CHECK_EQ(arrays, R"([56,{"1":[],"10":null,"d":true}])");
  CHECK_EQ(sha256_of(arrays), "099601b171cafed97c333f8878d68e7f8c8f795412adb34b2fdcf0e7c7beac42");
  const std::string structures =
      canonical_of(R"({"1": {"f": {"f": "hi","F": 5} ,"\n": 56.0}, "10": { }, "": "empty", "a": { },)"
                   R"( "111": [ {"e": "yes","E": "no" } ], "A": { } })");
  CHECK_EQ(structures,
           R"({"":"empty","1":{"\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{"E":"no","e":"yes"}],"A":{},"a":{}})");
  CHECK_EQ(sha256_of(structures), "605f65004ec2db7692522a0852c22f1c989e036d547e88963d1a3143cf3195d5");
}

// Its 333333333.33333329 has 17 digits, which reading refuses; the value is put in by hand.
TEST_CASE("values have the canonical bytes of the published file") {
  json::Value value = json::Value::object();
  json::Value numbers = json::Value::list();
  for (const double number : {333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001})
    numbers.push(number);
  value.set("numbers", numbers);
  value.set("string", json::parse(R"("\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/")").value());
  value.set("literals", json::parse("[null, true, false]").value());
  const std::string bytes = json::canonical(value);
  CHECK_EQ(bytes,
           "{\"literals\":[null,true,false],\"numbers\":[333333333.3333333,1e+30,4.5,0.002,1e-27],"
           "\"string\":\"€$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}");
  CHECK_EQ(sha256_of(bytes), "2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb");
}

TEST_CASE("members sort by UTF-16 code units and not by a language") {
  const std::string french = canonical_of(R"({"peach":"This sorting order","péché":"is wrong according to French",)"
                                          R"("pêche":"but canonicalization MUST","sin":"ignore locale"})");
  CHECK_EQ(sha256_of(french), "d99d0ebdcb0033cb858cfa830ae46bc0fb3309413b271f1da828c89901a27ed5");
  const std::string weird = canonical_of(
      R"({"\u20ac":"Euro Sign","\r":"Carriage Return","\ufb33":"Hebrew Letter Dalet With Dagesh","1":"One",)"
      R"("\ud83d\ude02":"Smiley","\u0080":"Control\u007f","\u00f6":"Latin Small Letter O With Diaeresis",)"
      R"("\n":"Newline","</script>":"Browser Challenge"})");
  CHECK_EQ(sha256_of(weird), "6af595a9aa80110b964b4de3f82a05fa6ae7423005019bacfa2620dddc4e94d1");
}

TEST_CASE("canonical bytes keep the code points that were given") {
  const std::string unicode = canonical_of(R"({"Unnormalized Unicode":"A\u030a"})");
  CHECK_EQ(sha256_of(unicode), "0d99aad92a125196ff887876643fd3206786a84ddce2cee52ba4ad256d2381d3");
}

// RFC 8785 section 3.2.3 sorts by UTF-16 code units; here they are made in full, once for each name.
TEST_CASE("the order of names is that of their UTF-16 code units for every pair of edge characters") {
  const char32_t edges[] = {0x01,   0x30,   0x41,   0x7F,    0x80,    0x7FF,   0x800,   0xD7FF,  0xE000,
                            0xFB33, 0xFFFD, 0xFFFF, 0x10000, 0x103FF, 0x10400, 0x1F602, 0x10FFFF};
  std::vector<std::string> names = {""};
  for (const char32_t first : edges) {
    std::string one;
    append_utf8(one, first);
    names.push_back(one);
    for (const char32_t second : edges) {
      std::string two = one;
      append_utf8(two, second);
      names.push_back(two);
    }
  }
  const auto units = [](const std::string& text) {
    std::u16string out;
    for (std::size_t at = 0; at < text.size();) {
      const char32_t c = next_code_point(text, at);
      if (c > 0xFFFF) {
        out += static_cast<char16_t>(0xD800 + ((c - 0x10000) >> 10));
        out += static_cast<char16_t>(0xDC00 + ((c - 0x10000) & 0x3FF));
      } else {
        out += static_cast<char16_t>(c);
      }
    }
    return out;
  };
  for (const std::string& a : names) {
    for (const std::string& b : names) REQUIRE(json::name_before(a, b) == (units(a) < units(b)));
  }
}

TEST_CASE("canonical bytes read back and written again are the same bytes") {
  for (const char* text :
       {"{}", "[]", "null", "\"\\u0000\\u001f\\b\\f\\t\"", R"({"b":[1,2.5,-3e-7],"a":{"z":null,"y":""}})"}) {
    const std::string once = canonical_of(text);
    CHECK_EQ(canonical_of(once), once);
  }
}
