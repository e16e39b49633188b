#include "ledger/text/json.h"

#include "tests/support/test.h"

using namespace trayproof;

namespace {

std::string refusal(std::string_view text, std::size_t depth = json::depth_max) {
  const auto value = json::parse(text, depth);
  INFO(std::string(text));
  REQUIRE(!value.ok());
  CHECK(value.error().code() == ErrorCode::invalid);
  return value.error().sentence();
}

}  // namespace

TEST_CASE("what is no JSON text is refused") {
  for (const char* text :
       {"",    " ",        "{",       "}",     "[1,]",      "{\"a\":1,}", "{'a':1}",      "{a:1}", "nul",
        "NaN", "Infinity", "-",       "01",    "1.",        ".5",         "+1",           "1 2",   "{} {}",
        "\"a", "\"\t\"",   "\"\\x\"", "// {}", "{\"a\" 1}", "[1 2]",      "\xEF\xBB\xBF{"}) {
    refusal(text);
  }
}

TEST_CASE("a member that stands twice is refused among few and among many") {
  CHECK(refusal(R"({"a":1,"b":2,"a":3})").find("\"a\"") != std::string::npos);
  CHECK(refusal(R"({"a":1,"\u0061":3})").find("twice") != std::string::npos);
  std::string many = "{";
  for (int i = 0; i < 100; ++i) many += "\"m" + std::to_string(i) + "\":1,";
  CHECK(json::parse(many + "\"last\":1}").ok());
  for (int i : {0, 15, 16, 50, 99}) refusal(many + "\"m" + std::to_string(i) + "\":1}");
  refusal(R"({"a":[{"x":{"b":1,"b":1}}]})");
  CHECK(json::parse(R"({"a":{"a":{"a":1}}})").ok());
}

TEST_CASE("lone surrogates and bytes that are no UTF-8 are refused") {
  for (const char* text : {R"(["\ud800"])", R"(["\udc00"])", R"(["\ud800\ud800"])", R"(["\ude02\ud83d"])",
                           "[\"\xED\xA0\x80\"]", "[\"\xC3\"]", "[\"\xFF\"]"}) {
    refusal(text);
  }
  CHECK(json::parse(R"(["\ud83d\ude02"])").ok());
}

TEST_CASE("nesting is taken to the limit and not beyond") {
  CHECK(json::parse("[[[1]]]", 3).ok());
  refusal("[[[[1]]]]", 3);
  refusal(R"({"a":{"b":{"c":{}}}})", 3);
  const std::string deep(100'000, '[');
  refusal(deep);
}

// docs/ledger-format.md, "Values".
TEST_CASE("numbers are finite and have at most 15 significant digits") {
  for (const char* text : {"0", "-0", "-0.0", "999999999999999", "-999999999999999", "0.123456789012345", "1.5e3",
                           "123456789012345e-10", "1e-300", "100000000000000"}) {
    INFO(std::string(text));
    CHECK(json::parse(text).ok());
  }
  for (const char* text : {"1000000000000000", "-1000000000000000", "9223372036854775807", "18446744073709551615",
                           "99999999999999999999999", "0.1234567890123456", "333333333.33333329", "1e15", "1e400",
                           "-1e400", "9007199254740993"}) {
    refusal(text);
  }
}

TEST_CASE("a number too small to be kept is refused and not turned into zero") {
  for (const char* text : {"1e-400", "-1e-400", "4.9e-324", "1e-310"}) refusal(text);
  CHECK(json::parse("0e-400").ok());
}

TEST_CASE("a value is found by its name and changed in its place") {
  json::Value value = json::parse(R"({"b":1,"a":"x","c":true})").value();
  CHECK(value.number_at("b") == 1.0);
  CHECK(value.text_at("a") == "x");
  CHECK(value.bool_at("c") == true);
  CHECK(!value.text_at("b"));
  CHECK(!value.find("d"));
  value.set("b", "y").set("d", json::Value());
  CHECK_EQ(json::plain(value), R"({"b":"y","a":"x","c":true,"d":null})");
  CHECK_EQ(json::canonical(value), R"({"a":"x","b":"y","c":true,"d":null})");
  value.erase("a");
  CHECK_EQ(json::plain(value), R"({"b":"y","c":true,"d":null})");
  CHECK_EQ(json::indented(json::parse(R"({"a":[1,{}],"b":{}})").value()),
           "{\n  \"a\": [\n    1,\n    {}\n  ],\n  \"b\": {}\n}");
}
