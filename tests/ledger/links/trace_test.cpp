// docs/recall.md, "Trace": everything that ties to one thing, both ways.
#include "ledger/links/trace.h"

#include <algorithm>

#include "tests/ledger/links/story.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

void tell_one_turn(Story& story) {
  story.tell("soaked", "05T06:00", R"("set":"S1","solution":"CL1","until":"2026-10-05T06:10:00+05:00")");
  story.tell("packed", "05T07:00", R"("pack":"P1","set":"S1","wrap":"wrapped","indicator_lot":"CI1")");
  story.tell("load-started", "05T08:00",
             R"("load":"L1","method":"steam-gravity","equipment":"AC-1","packs":["P1","P2"])");
  story.tell("load-ended", "05T08:40", R"("load":"L1","complete":true,"temperature_c":121.5)");
  story.tell("load-released", "05T09:00", R"("load":"L1")");
  story.tell("procedure-done", "05T10:00",
             R"("procedure":"D1","sort":"delivery","place":"room 1","packs":["P1"],"patient":"MRN-55501")");
}

bool ties(const links::Trace& trace, std::string_view kind, std::string_view id, std::string_view how) {
  return std::ranges::any_of(
      trace.links, [&](const links::TraceLink& link) { return link.kind == kind && link.id == id && link.how == how; });
}

std::string kinds_told(const links::Trace& trace) {
  std::string out;
  for (const links::TraceEvent& event : trace.events) out += (out.empty() ? "" : " ") + event.kind;
  return out;
}

}  // namespace

TEST_CASE("from a procedure back to its pack and set and load and sterilizer and soak") {
  Story story;
  tell_one_turn(story);
  const auto trace = links::trace(story.links(), "procedure", "D1");
  REQUIRE(trace.ok());
  CHECK(ties(trace.value(), "pack", "P1", "procedure-done"));
  CHECK(ties(trace.value(), "set", "S1", "packed"));
  CHECK(ties(trace.value(), "load", "L1", "relevant-load"));
  CHECK(ties(trace.value(), "equipment", "AC-1", "ran-in"));
  CHECK(ties(trace.value(), "solution", "CL1", "turn"));
  CHECK(kinds_told(trace.value()) == "soaked packed load-started load-ended load-released procedure-done");
}

TEST_CASE("from a solution and a set and a sterilizer forward to the procedures") {
  Story story;
  tell_one_turn(story);
  for (const auto& [kind, id] : {std::pair("solution", "CL1"), std::pair("set", "S1"), std::pair("equipment", "AC-1"),
                                 std::pair("lot", "CI1")}) {
    INFO(kind);
    const auto trace = links::trace(story.links(), kind, id);
    REQUIRE(trace.ok());
    CHECK(ties(trace.value(), "procedure", "D1", "used-in"));
  }
  const auto load = links::trace(story.links(), "load", "L1");
  REQUIRE(load.ok());
  CHECK(ties(load.value(), "procedure", "D1", "reached"));
  CHECK(ties(load.value(), "pack", "P2", "load-started"));
}

TEST_CASE("each entry is told in one sentence and a patient stands as a pseudonym") {
  Story story;
  tell_one_turn(story);
  const auto trace = links::trace(story.links(), "pack", "P1");
  REQUIRE(trace.ok());
  std::string all;
  for (const links::TraceEvent& event : trace.value().events) all += event.says + "\n";
  CHECK(holds(all, "Load started: load L1; method steam-gravity; equipment AC-1; packs P1, P2"));
  CHECK(holds(all, "temperature c 121.5"));
  CHECK_FALSE(holds(all, "MRN-55501"));
}

TEST_CASE("a corrected entry and its correction are both told") {
  Story story;
  const auto seq = story.tell("pack-opened", "05T08:00", R"("pack":"P1")");
  const auto correction =
      story.correct(seq, R"({"kind":"pack-opened","at":"2026-10-05T08:00:00+05:00","by":"p-1","pack":"P2"})");
  const auto trace = links::trace(story.links(), "pack", "P1");
  REQUIRE(trace.ok());
  CHECK(kinds_told(trace.value()) == "pack-opened corrected");
  CHECK(holds(trace.value().events[0].says, "(Replaced by entry " + std::to_string(correction) + ".)"));
  CHECK(holds(trace.value().events[1].says, "instead: Pack opened: pack P2"));
  CHECK(holds(trace.value().events[1].says, "read wrongly"));
}

TEST_CASE("an id of several kinds of thing is told to be so and an unknown one is missing") {
  Story story;
  story.tell("packed", "05T07:00", R"("pack":"X1","set":"X1","wrap":"wrapped")");
  const auto kinds = links::kinds_of(story.links(), "X1");
  REQUIRE(kinds.ok());
  CHECK(joined(kinds.value()) == joined({"pack", "set"}));
  const auto trace = links::trace(story.links(), "load", "X1");
  REQUIRE_FALSE(trace.ok());
  CHECK(trace.error().code() == ErrorCode::missing);
}
