// What verify finds does not depend on how many threads read, nor on what is recorded meanwhile.
#include <atomic>
#include <thread>

#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

// Some 3,000 events, so that several ranges are read.
std::string many_lines(int from, int count) {
  std::string lines;
  for (int i = from; i < from + count; ++i) {
    lines += R"({"kind":"packed","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":"PK-)" + std::to_string(i) +
             R"(","set":"DS-1","wrap":"wrapped"})" + "\n";
  }
  return lines;
}

std::vector<std::string> found_with(Ledger& ledger, unsigned threads) {
  const auto found = verify(ledger, {.depth = Depth::full, .threads = threads});
  REQUIRE(found.ok());
  std::vector<std::string> told;
  for (const Problem& one : found.value().problems) {
    told.push_back((one.seq ? std::to_string(*one.seq) : "-") + ": " + one.what);
  }
  told.push_back(std::to_string(found.value().events) + " " + std::to_string(found.value().checkpoints) + " " +
                 std::to_string(found.value().signatures) + " " + hex(found.value().head) + " " +
                 hex(found.value().root));
  return told;
}

void damage(WardLedger& ward, const std::string& sql) {
  INFO(sql);
  REQUIRE(ward.ledger()
              .file()
              .database()
              .run("DROP TRIGGER IF EXISTS entries_never_change; DROP TRIGGER IF EXISTS "
                   "entries_never_go; DROP TRIGGER IF EXISTS entries_only_next")
              .ok());
  REQUIRE(ward.ledger().file().database().run(sql).ok());
}

}  // namespace

TEST_CASE("one thread and many find the same in a ledger that holds and in damaged ones") {
  WardLedger ward;
  ward.take(many_lines(0, 1200));
  REQUIRE(ward.ledger().sign_checkpoint().ok());
  ward.take(many_lines(1200, 1800));
  REQUIRE(ward.ledger().sign_checkpoint().ok());
  const std::vector<std::string> good = found_with(ward.ledger(), 1);
  REQUIRE(good.size() == 1);
  const auto root = ward.ledger().tree_head();
  REQUIRE(root.ok());
  CHECK(holds(good[0], hex(root.value().root)));
  // Each on top of those before it; the last ones in other ranges, and one that takes a whole range away.
  for (const char* sql :
       {"UPDATE entries SET entry = replace(entry, 'DS-1', 'DS-2') WHERE seq IN (40, 1500)",
        "UPDATE entries SET sig = x'' WHERE seq = 1205", "UPDATE entries SET slip = 's' WHERE seq = 2100",
        "DELETE FROM entries WHERE seq = 1100", "DELETE FROM entries WHERE seq BETWEEN 1024 AND 2050",
        "DELETE FROM entries WHERE seq > 3000"}) {
    damage(ward, sql);
    INFO(std::string(sql));
    const auto one = found_with(ward.ledger(), 1);
    CHECK(one.size() > 1);
    for (const unsigned threads : {2U, 3U, 8U}) CHECK_EQ(joined(found_with(ward.ledger(), threads)), joined(one));
  }
}

TEST_CASE("a changed entry in a later range is named there and the checkpoint after it tells too") {
  WardLedger ward;
  ward.take(many_lines(0, 2500));
  REQUIRE(ward.ledger().sign_checkpoint().ok());
  const std::int64_t size = ward.size();
  damage(ward, "UPDATE entries SET entry = replace(entry, 'DS-1', 'DS-2') WHERE seq = 2000");
  const auto found = found_with(ward.ledger(), 2);
  CHECK(found[0].starts_with("2000: the stored hash"));
  CHECK(any_holds(found, "2001: the entry does not name"));
  CHECK(any_holds(found, std::to_string(size) + ": the record up to here is not what the checkpoint"));
}

TEST_CASE("an entry missing in the middle tears every later checkpoint and no earlier one") {
  WardLedger ward;
  ward.take(many_lines(0, 100));
  REQUIRE(ward.ledger().sign_checkpoint().ok());
  const std::string early = std::to_string(ward.size());
  ward.take(many_lines(100, 2000));
  REQUIRE(ward.ledger().sign_checkpoint().ok());
  const std::string late = std::to_string(ward.size());
  damage(ward, "DELETE FROM entries WHERE seq = 1500");
  const auto found = found_with(ward.ledger(), 2);
  CHECK(found[0].starts_with("1500: an entry is missing"));
  CHECK(any_holds(found, "1500: the record up to here is not what the checkpoint of size " + late));
  CHECK(!any_holds(found, "checkpoint of size " + early));
}

TEST_CASE("events recorded while verify reads are no problem and are verified too") {
  WardLedger ward;
  ward.take(many_lines(0, 2000));
  std::atomic<bool> go_on{true};
  std::thread recorder([&] {
    auto other = Ledger::open(ward.path(), ward.clock());
    for (int i = 0; go_on && i < 300; ++i) {
      const auto done = other.value().append_lines(many_lines(10'000 + 3 * i, 3), {});
      if (!done.ok() || !done.value().refusals.empty()) break;
    }
  });
  for (int round = 0; round < 15; ++round) {
    const auto found = verify(ward.ledger(), {.depth = Depth::usual, .threads = 2});
    REQUIRE(found.ok());
    for (const Problem& one : found.value().problems) MESSAGE(one.what);
    CHECK(found.value().problems.empty());
  }
  go_on = false;
  recorder.join();
  CHECK(found_with(ward.ledger(), 2).size() == 1);
}

TEST_CASE("parts of verify find what is theirs") {
  WardLedger ward;
  ward.take(many_lines(0, 50));
  damage(ward, "UPDATE entries SET slip = 's' WHERE seq = 20");
  const auto problems_of = [&](VerifyParts parts) {
    const auto found = verify(ward.ledger(), {.depth = Depth::full, .parts = parts, .threads = 1});
    REQUIRE(found.ok());
    return found.value().problems.size();
  };
  CHECK_EQ(problems_of(VerifyParts::chain), 0U);
  CHECK_EQ(problems_of(VerifyParts::signatures), 0U);
  CHECK(problems_of(VerifyParts::all) > 0);
  damage(ward, "UPDATE entries SET entry = replace(entry, 'DS-1', 'DS-2') WHERE seq = 30");
  CHECK(problems_of(VerifyParts::chain) > 1);
}
