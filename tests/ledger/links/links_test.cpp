// The derived tables: what stands after corrections, the watermark, and tables of a part of the ledger. docs/tables.md.
#include "ledger/links/links.h"

#include <filesystem>
#include <fstream>

#include "tests/ledger/links/story.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

std::string links_path(Story& story) { return story.ward().path() + ".links"; }

void run(Story& story, const std::string& sql) { REQUIRE(story.links().database().run(sql).ok()); }

bool same_as_fresh(Story& story) {
  const auto difference = story.links().same_as_fresh();
  REQUIRE(difference.ok());
  return !difference.value();
}

}  // namespace

TEST_CASE("each kind has a table with the envelope and its fields") {
  Story story;
  const auto seq = story.tell("pack-stored", "05T09:00",
                              R"("pack":"P1","place":"shelf 1","use_by":"2026-10-12","precision":"hour")");
  CHECK(story.ask("SELECT origin = seq AND seq = " + std::to_string(seq) + " FROM pack_stored") == "1");
  CHECK(story.ask("SELECT pack || ' ' || place || ' ' || by || ' ' || precision FROM pack_stored") ==
        "P1 shelf 1 p-1 hour");
  CHECK(story.ask("SELECT latest_ms - earliest_ms FROM pack_stored") == "3599999");
  // A date counts to its last moment in the facility's zone, five hours ahead of UTC.
  CHECK(story.ask("SELECT datetime(use_by_ms / 1000, 'unixepoch') FROM pack_stored") == "2026-10-12 18:59:59");
}

TEST_CASE("a corrected event is its latest correction and one that never happened has no row") {
  Story story;
  const auto seq = story.tell("pack-stored", "05T09:00", R"("pack":"P1","place":"shelf 1")");
  const auto first = story.correct(
      seq, R"({"kind":"pack-stored","at":"2026-10-05T09:05:00+05:00","by":"p-1","pack":"P2","place":"shelf 2"})");
  CHECK(story.ask("SELECT seq || pack FROM pack_stored") == std::to_string(first) + "P2");
  CHECK(story.ask("SELECT origin FROM pack_stored") == std::to_string(seq));
  CHECK(story.ask("SELECT pack FROM packs ORDER BY pack") == "P2");
  const auto second = story.correct(
      first, R"({"kind":"pack-issued","at":"2026-10-05T09:05:00+05:00","by":"p-1","pack":"P1","place":"ward"})");
  CHECK(story.ask("SELECT count(*) FROM pack_stored") == "0");
  CHECK(story.ask("SELECT seq || pack FROM pack_issued") == std::to_string(second) + "P1");
  story.correct(seq, "null");
  CHECK(story.ask("SELECT count(*) FROM pack_issued") == "0");
  CHECK(story.ask("SELECT count(*) FROM packs") == "0");
  CHECK(story.ask("SELECT count(*) FROM pack_moves") == "0");
  CHECK(story.ask("SELECT holds FROM corrections ORDER BY seq") == "0 0 1");
  CHECK(story.ask("SELECT count(DISTINCT origin) FROM corrections") == "1");
  CHECK(same_as_fresh(story));
}

TEST_CASE("a load holds the packs of its start with all its changes in order of time") {
  Story story;
  story.tell("load-started", "05T08:00",
             R"("load":"L1","method":"steam-gravity","equipment":"AC-1","packs":["P1","P2","P3"])");
  // Recorded in the other order, and one dated after the end.
  story.tell("load-changed", "05T08:20", R"("load":"L1","added":["P3","P5"])");
  story.tell("load-changed", "05T08:10", R"("load":"L1","added":["P4"],"removed":["P3","P1"])");
  story.tell("load-ended", "05T08:30", R"("load":"L1","complete":true)");
  story.tell("load-changed", "05T09:00", R"("load":"L1","removed":["P5"])");
  CHECK(story.ask("SELECT pack FROM load_packs ORDER BY pack") == "P2 P3 P4");
  CHECK(story.ask("SELECT packs FROM loads") == "3");
}

TEST_CASE("of two decisions the latest by its time holds") {
  Story story;
  story.tell("load-started", "05T08:00", R"("load":"L1","method":"steam-gravity","equipment":"AC-1","packs":[])");
  story.tell("load-rejected", "05T10:00", R"("load":"L1","why":"wet")");
  story.tell("load-released", "05T09:00", R"("load":"L1")");
  CHECK(story.ask("SELECT decision FROM loads") == "rejected");
  story.tell("load-released", "05T10:00", R"("load":"L1")");
  CHECK(story.ask("SELECT decision FROM loads") == "released");
}

TEST_CASE("an indicator that names only a pack is a reading of its relevant load") {
  Story story;
  story.tell("load-started", "05T08:00", R"("load":"L1","method":"steam-gravity","equipment":"AC-1","packs":["P1"])");
  story.tell("load-ended", "05T08:30", R"("load":"L1","complete":true)");
  CHECK(story.ask("SELECT evidence FROM loads") == "missing");
  story.tell("indicator-read", "05T09:00", R"("pack":"P1","result":"fail")");
  CHECK(story.ask("SELECT evidence || indicators || indicators_failed FROM loads") == "recorded11");
  CHECK(story.ask("SELECT load FROM indicators WHERE found = 1") == "L1");
  CHECK(same_as_fresh(story));
}

TEST_CASE("the turn of a pack begins after the packing before and a soak belongs by its start") {
  Story story;
  story.tell("soaked", "01T08:00", R"("set":"S1","solution":"CL1","until":"2026-10-01T08:10:00+05:00")");
  story.tell("packed", "01T09:00", R"("pack":"P1","set":"S1","wrap":"wrapped")");
  story.tell("soaked", "02T08:00", R"("set":"S1","solution":"CL2")");
  story.tell("cleaned", "02T08:30", R"("set":"S1","method":"manual")");
  story.tell("soak-ended", "02T08:15", R"("set":"S1","solution":"CL2")");
  story.tell("packed", "02T08:30", R"("pack":"P2","set":"S1","wrap":"wrapped")");
  story.tell("inspected", "02T08:31", R"("set":"S1","found":[])");
  CHECK(story.ask("SELECT kind || coalesce(solution, '') FROM turns WHERE pack = 'P1'") == "soakedCL1");
  CHECK(story.ask("SELECT kind || coalesce(solution, '') FROM turns WHERE pack = 'P2' ORDER BY at_ms, kind") ==
        "soakedCL2 cleaned");
  CHECK(story.ask("SELECT (ended_ms - at_ms) / 60000 FROM soaks ORDER BY at_ms") == "10 15");
  CHECK(story.ask("SELECT min(certain) FROM turns") == "1");
}

TEST_CASE("with coarse times an event that could belong to two turns stands in both") {
  Story story;
  story.tell("packed", "02T09:00", R"("pack":"P1","set":"S1","wrap":"wrapped")");
  story.tell("cleaned", "02T00:00", R"("set":"S1","method":"manual","precision":"day")");
  story.tell("packed", "03T09:00", R"("pack":"P2","set":"S1","wrap":"wrapped")");
  CHECK(story.ask("SELECT pack FROM turns ORDER BY pack") == "P1 P2");
  CHECK(story.ask("SELECT max(certain) FROM turns") == "0");
}

TEST_CASE("the definition of a set that counts is the last one not later than the packing") {
  Story story;
  story.tell("set-defined", "02T08:00",
             R"("set":"S1","title":"Plates","items":[],"contact":"critical","implant":true)");
  story.tell("packed", "01T09:00", R"("pack":"P0","set":"S1","wrap":"wrapped")");
  story.tell("packed", "02T09:00", R"("pack":"P1","set":"S1","wrap":"wrapped")");
  story.tell("set-defined", "03T08:00",
             R"("set":"S1","title":"Plates","items":[],"contact":"critical","told_apart":false)");
  story.tell("packed", "03T09:00", R"("pack":"P2","set":"S1","wrap":"wrapped")");
  CHECK(story.ask("SELECT coalesce(implant, 0) || coalesce(told_apart, 1) FROM packs ORDER BY pack") == "11 11 00");
  CHECK(same_as_fresh(story));
}

TEST_CASE("deleted tables come back equal") {
  Story story;
  story.tell("load-started", "05T08:00", R"("load":"L1","method":"steam-gravity","equipment":"AC-1","packs":["P1"])");
  { CHECK(links::Links::open(story.ledger()).ok()); }
  REQUIRE(std::filesystem::remove(links_path(story)));
  auto again = links::Links::open(story.ledger());
  REQUIRE(again.ok());
  CHECK_FALSE(again.value().in_memory());
  CHECK(Story::ask(again.value(), "SELECT load FROM load_packs") == "L1");
  // One table dropped by hand.
  REQUIRE(again.value().database().run("DROP TABLE uses").ok());
  auto once_more = links::Links::open(story.ledger());
  REQUIRE(once_more.ok());
  CHECK(Story::ask(once_more.value(), "SELECT count(*) FROM uses") == "0");
}

TEST_CASE("a file that is no database is derived again and a folder in its place leaves the tables in memory") {
  Story story;
  story.tell("pack-opened", "05T08:00", R"("pack":"P1")");
  std::ofstream(links_path(story)) << std::string(8192, 'x');
  auto links = links::Links::open(story.ledger());
  REQUIRE(links.ok());
  CHECK_FALSE(links.value().in_memory());
  CHECK(Story::ask(links.value(), "SELECT pack FROM packs") == "P1");

  Story other;
  other.tell("pack-opened", "05T08:00", R"("pack":"P1")");
  std::filesystem::create_directory(links_path(other));
  auto in_memory = links::Links::open(other.ledger());
  REQUIRE(in_memory.ok());
  CHECK(in_memory.value().in_memory());
  CHECK(Story::ask(in_memory.value(), "SELECT pack FROM packs") == "P1");
}

TEST_CASE("tables of another version or another ledger or a changed past are derived again") {
  for (const char* change : {"UPDATE watermark SET version = 'older'", "UPDATE watermark SET ledger = 'another'",
                             "UPDATE watermark SET hash = zeroblob(32)", "UPDATE watermark SET seq = seq + 100"}) {
    INFO(std::string(change));
    Story story;
    story.tell("pack-opened", "05T08:00", R"("pack":"P1")");
    run(story, std::string(change) + "; DELETE FROM packs");
    auto links = links::Links::open(story.ledger());
    REQUIRE(links.ok());
    CHECK(Story::ask(links.value(), "SELECT pack FROM packs") == "P1");
  }
}

TEST_CASE("a row that was changed by hand is named") {
  Story story;
  story.tell("pack-stored", "05T08:00", R"("pack":"P1","place":"shelf 1")");
  CHECK(same_as_fresh(story));
  run(story, "UPDATE pack_moves SET place = 'shelf 9'");
  const auto difference = story.links().same_as_fresh();
  REQUIRE(difference.ok());
  REQUIRE(difference.value());
  CHECK(difference.value()->table == "pack_moves");
  CHECK(holds(difference.value()->row, "shelf"));
  REQUIRE(story.links().rebuild().ok());
  CHECK(same_as_fresh(story));
}

TEST_CASE("tables known at a seq do not know later entries and tables as of a moment know later corrections") {
  Story story;
  const auto stored = story.tell("pack-stored", "05T08:00", R"("pack":"P1","place":"shelf 1")");
  story.tell("pack-issued", "05T09:00", R"("pack":"P1","place":"ward")");
  story.correct(stored,
                R"({"kind":"pack-stored","at":"2026-10-05T08:00:00+05:00","by":"p-1","pack":"P1","place":"shelf 2"})");
  auto then = links::Links::derive_in_memory(story.ledger(), {stored, std::nullopt});
  REQUIRE(then.ok());
  CHECK(Story::ask(then.value(), "SELECT place FROM pack_moves ORDER BY at_ms") == "shelf 1");
  auto as_of = links::Links::derive_in_memory(story.ledger(), {std::nullopt, Story::at("05T08:30")});
  REQUIRE(as_of.ok());
  CHECK(Story::ask(as_of.value(), "SELECT place FROM pack_moves ORDER BY at_ms") == "shelf 2");
  CHECK(as_of.value().zone().name() == "Etc/GMT-5");
}

TEST_CASE("a new zone of the facility reads dates anew") {
  Story story;
  story.tell("pack-stored", "05T08:00", R"("pack":"P1","place":"shelf 1","use_by":"2026-10-12")");
  const std::string before = story.ask("SELECT use_by_ms FROM pack_stored");
  story.tell("facility-described", "05T12:00", R"("title":"Ward","zone":"Etc/GMT-3","altitude_m":1)");
  CHECK(story.ask("SELECT use_by_ms - " + before + " FROM pack_stored") == std::to_string(2 * hour_ms));
  CHECK(same_as_fresh(story));
}
