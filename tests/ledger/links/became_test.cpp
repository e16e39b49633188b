// docs/recall.md, "Affected packs": the first standing that fits.
#include "ledger/links/became.h"

#include "tests/support/test.h"

using namespace trayproof;
using links::Became;
using links::PackEvent;

namespace {

std::int64_t next_origin = 1;

PackEvent event(const char* kind, std::int64_t ms, std::optional<std::string> place = {},
                std::optional<std::string> state = {}) {
  const std::int64_t origin = next_origin++;
  return {kind, origin, origin, ms, std::move(state), std::move(place)};
}

std::string became(const std::vector<PackEvent>& events) {
  std::vector<const PackEvent*> pointers;
  for (const PackEvent& one : events) pointers.push_back(&one);
  const Became found = links::became_of(pointers);
  return found.standing + (found.place ? " " + *found.place : "");
}

}  // namespace

TEST_CASE("a pack to which nothing happened is held") { CHECK(became({}) == "held"); }

TEST_CASE("used comes before opened and opened before withdrawn whatever their order in time") {
  CHECK(became({event("pack-withdrawn", 9), event("pack-opened", 5, "ward"), event("procedure-done", 1, "room 1")}) ==
        "used room 1");
  CHECK(became({event("pack-withdrawn", 9), event("pack-opened", 5, "ward")}) == "opened ward");
  CHECK(became({event("pack-withdrawn", 9), event("pack-stored", 10, "shelf")}) == "withdrawn");
  CHECK(became({event("pack-returned", 3, {}, "opened"), event("pack-stored", 4, "shelf")}) == "opened");
}

TEST_CASE("of issued and shelf whichever came last stands") {
  CHECK(became({event("pack-stored", 1, "shelf"), event("pack-issued", 2, "ward")}) == "issued ward");
  CHECK(became({event("pack-issued", 1, "ward"), event("pack-stored", 2, "shelf")}) == "shelf shelf");
  CHECK(became({event("pack-issued", 1, "ward"), event("pack-returned", 2, {}, "closed")}) == "shelf");
  // At the same moment the later place in the record.
  CHECK(became({event("pack-stored", 5, "shelf"), event("pack-issued", 5, "ward")}) == "issued ward");
}

TEST_CASE("a return whose state nobody recorded says nothing") {
  CHECK(became({event("pack-returned", 2)}) == "held");
  CHECK(became({event("pack-stored", 1, "shelf"), event("pack-returned", 2)}) == "shelf shelf");
}
