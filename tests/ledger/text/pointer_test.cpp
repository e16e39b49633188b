// RFC 6901, section 5: the pointers of its example and what they give.
#include "ledger/text/pointer.h"

#include "tests/support/test.h"

using namespace trayproof;

TEST_CASE("the pointers of the RFC's example give what the RFC says") {
  const auto value =
      json::parse(R"({"foo":["bar","baz"],"":0,"a/b":1,"c%d":2,"e^f":3,"g|h":4,"i\\j":5,"k\"l":6," ":7,"m~n":8})");
  REQUIRE(value.ok());
  const auto at = [&](std::string_view pointer) { return json::at_pointer(value.value(), pointer); };
  CHECK(at("") == &value.value());
  CHECK(at("/foo")->items().size() == 2);
  CHECK(at("/foo/0")->text() == "bar");
  CHECK(at("/")->number() == 0);
  CHECK(at("/a~1b")->number() == 1);
  CHECK(at("/c%d")->number() == 2);
  CHECK(at("/e^f")->number() == 3);
  CHECK(at("/g|h")->number() == 4);
  CHECK(at("/i\\j")->number() == 5);
  CHECK(at("/k\"l")->number() == 6);
  CHECK(at("/ ")->number() == 7);
  CHECK(at("/m~0n")->number() == 8);
}

TEST_CASE("what is no pointer or points at nothing gives nothing") {
  const auto value = json::parse(R"({"foo":["bar","baz"],"n":1})");
  REQUIRE(value.ok());
  for (const char* pointer :
       {"foo", "/foo/2", "/foo/-", "/foo/01", "/foo/", "/foo/0/x", "/n/x", "/~", "/~2", "/bar", "//"}) {
    INFO(std::string(pointer));
    CHECK(json::at_pointer(value.value(), pointer) == nullptr);
  }
}
