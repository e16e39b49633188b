#include "report/evidence/check/references.h"

#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::evidence;

namespace {

json::Value event_of(std::string_view text) {
  auto parsed = json::parse(text);
  REQUIRE(parsed.ok());
  return std::move(parsed).value();
}

const std::string hash(64, 'a');
const std::string other(64, 'b');

}  // namespace

TEST_CASE("stand-ins of texts are found at any depth and nothing else is taken for one") {
  References found;
  gather_references(event_of(R"({"kind":"corrected","why":{"sha256":")" + hash +
                             R"("},"replacement":{"kind":"remarked","text":{"sha256":")" + other +
                             R"("},"answer":{"sha256":"zz"},"note":{"sha256":")" + hash + R"(","x":1}}})"),
                    found);
  CHECK(found.texts == std::set<std::string>{hash, other});
}

TEST_CASE("files are those that an entry attaches and not those that it only tells of") {
  References found;
  gather_references(event_of(R"({"kind":"curve-measured","file":")" + hash + R"(","files":[")" + other + R"("]})"),
                    found);
  CHECK(found.files == std::set<std::string>{hash, other});
  References none;
  gather_references(event_of(R"({"kind":"evidence-given","file":")" + hash + R"("})"), none);
  gather_references(event_of(R"({"kind":"attachment-removed","file":")" + hash + R"("})"), none);
  CHECK(none.files.empty());
}

TEST_CASE("an entry names a thing by a member of its kind at any depth") {
  CHECK(names(event_of(R"({"load":"L-1"})"), "load", "L-1"));
  CHECK(names(event_of(R"({"packs":["P-1","P-2"]})"), "pack", "P-2"));
  CHECK(names(event_of(R"({"removed":["P-2"]})"), "pack", "P-2"));
  CHECK(names(event_of(R"({"subject":{"kind":"load","id":"L-1"}})"), "load", "L-1"));
  CHECK(names(event_of(R"({"subject":{"loads":["L-1"]}})"), "load", "L-1"));
  CHECK(names(event_of(R"({"replacement":{"load":"L-1"}})"), "load", "L-1"));
}

TEST_CASE("an entry does not name a thing by another kind with the same id") {
  CHECK_FALSE(names(event_of(R"({"pack":"L-1"})"), "load", "L-1"));
  CHECK_FALSE(names(event_of(R"({"load":"L-10"})"), "load", "L-1"));
  CHECK_FALSE(names(event_of(R"({"note":"L-1"})"), "load", "L-1"));
  CHECK_FALSE(names(event_of(R"({"subject":{"kind":"pack","id":"L-1"}})"), "load", "L-1"));
  CHECK_FALSE(names(event_of(R"({"counts":{"loads":1}})"), "load", "1"));
}
