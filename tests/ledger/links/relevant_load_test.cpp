// docs/recall.md, "Relevant load of a use". Times in milliseconds.
#include "ledger/links/relevant_load.h"

#include "tests/support/test.h"

using namespace trayproof;
using links::HoldingLoad;
using links::RelevantLoads;

namespace {

Span exactly(std::int64_t ms) { return {{ms}, {ms}}; }
Span between(std::int64_t earliest, std::int64_t latest) { return {{earliest}, {latest}}; }

std::string at(const std::vector<HoldingLoad>& loads, Span when) {
  const RelevantLoads relevant(loads);
  std::string out;
  for (const std::size_t place : relevant.at(when)) out += relevant.loads()[place].load;
  return out;
}

}  // namespace

TEST_CASE("the relevant load is the latest that ended not later than the use") {
  const std::vector<HoldingLoad> loads = {{"C", exactly(300)}, {"A", exactly(100)}, {"B", exactly(200)}};
  CHECK(at(loads, exactly(99)) == "");
  CHECK(at(loads, exactly(100)) == "A");
  CHECK(at(loads, exactly(199)) == "A");
  CHECK(at(loads, exactly(200)) == "B");
  CHECK(at(loads, exactly(10'000'000'000)) == "C");
}

TEST_CASE("of loads that ended at the same moment the later id is relevant") {
  CHECK(at({{"A", exactly(100)}, {"B", exactly(100)}}, exactly(100)) == "B");
  CHECK(at({{"B", exactly(100)}, {"A", exactly(100)}}, exactly(500)) == "B");
}

TEST_CASE("with coarse times every load that could be the relevant one is") {
  // B ended at some moment of the use's own stretch: before the use or after it.
  CHECK(at({{"A", exactly(100)}, {"B", between(200, 299)}}, exactly(250)) == "AB");
  // Once the use is certainly later than B, A is out.
  CHECK(at({{"A", exactly(100)}, {"B", between(200, 299)}}, exactly(299)) == "B");
  // Two ends whose order is open.
  CHECK(at({{"A", between(100, 199)}, {"B", between(150, 249)}}, exactly(500)) == "AB");
  // A coarse use: L could be relevant if its earliest end is not later than the use's latest moment.
  CHECK(at({{"A", exactly(100)}, {"B", exactly(200)}}, between(150, 249)) == "AB");
  CHECK(at({{"A", exactly(100)}, {"B", exactly(200)}}, between(200, 249)) == "B");
  CHECK(at({{"A", exactly(300)}}, between(200, 299)) == "");
}

TEST_CASE("a load with a coarse end never rules itself out") {
  CHECK(at({{"A", between(0, day_ms - 1)}}, exactly(day_ms)) == "A");
  CHECK(at({{"A", between(0, day_ms - 1)}, {"B", between(0, day_ms - 1)}}, exactly(day_ms)) == "AB");
}
