// Two ledgers put together: tables of another ledger in place of the own, the end of one after the beginning of the
// other, marks and rows of an older state of the same ledger.
#include "tests/support/test.h"
#include "tests/support/unguarded.h"
#include "tests/tamper/tampering.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

bool is_told(Fate fate) { return fate == Fate::told || fate == Fate::closed; }

// SQL that has the other file at hand as `other`.
std::string with(const std::string& other, const std::string& sql) {
  return "ATTACH '" + other + "' AS other; " + sql + "; DETACH other";
}

// Puts `from` in the place of every table named.
std::string taken_over(const std::string& table) {
  return "DELETE FROM main." + table + "; INSERT INTO main." + table + " SELECT * FROM other." + table;
}

}  // namespace

TEST_CASE("no table of another ledger is taken for the own") {
  Tampering tampering;
  Tampering other;
  for (const Table& table : tables_of(tampering.path())) {
    tampering.fresh_copy();
    REQUIRE(tampering.run(with(other.path(), taken_over(table.name))));
    const Fate fate = tampering.fate();
    INFO(table.name, ": ", tampering.last_word());
    CHECK(fate != Fate::unseen);
    // Indexes of both are alike, since both tell the same; what was believed once is then not believed.
    const bool alike = table.name == "introduced" || table.name == "corrections" || table.name == "landmarks" ||
                       table.name == "verified" || table.name == "attachments" || table.name == "attachment_parts";
    // Kept curves bear marks that only --full looks at.
    if (!alike) CHECK((is_told(fate) || (table.name == "curves" && fate == Fate::told_in_full)));
  }
}

TEST_CASE("the end of another ledger after the beginning of this one is told at the seam") {
  Tampering tampering;
  Tampering other;
  for (std::int64_t from = 2; from <= tampering.size(); ++from) {
    tampering.fresh_copy();
    const std::string seam = std::to_string(from);
    REQUIRE(tampering.run(
        with(other.path(), "DELETE FROM entries WHERE seq >= " + seam +
                               "; INSERT INTO entries SELECT * FROM other.entries WHERE seq >= " + seam)));
    INFO(from, ": ", tampering.last_word());
    CHECK(tampering.fate() == Fate::told);
    CHECK(tampering.named(from));
  }
}

TEST_CASE("a single entry of another ledger among the own is told at its seq") {
  Tampering tampering;
  Tampering other;
  for (std::int64_t seq = 2; seq <= tampering.size(); ++seq) {
    tampering.fresh_copy();
    const std::string at = std::to_string(seq);
    REQUIRE(
        tampering.run(with(other.path(), "DELETE FROM entries WHERE seq = " + at +
                                             "; INSERT INTO entries SELECT * FROM other.entries WHERE seq = " + at)));
    INFO(seq, ": ", tampering.last_word());
    CHECK(tampering.fate() == Fate::told);
    CHECK(tampering.named(seq));
  }
}

TEST_CASE("two continuations of one ledger by the same station and key are told at their seam") {
  WardLedger ward;
  fill_small(ward, Curve::small);
  const std::string base = file_bytes(ward.path());
  const std::int64_t common = ward.size();
  const auto opening = [](const std::string& pack) {
    return R"({"kind":"pack-opened","at":"2026-10-05T11:00:00+05:00","by":"ana","pack":")" + pack + "\"}";
  };
  for (int i = 0; i < 3; ++i) ward.take(opening("A-" + std::to_string(i)));
  const std::string one = ward.folder().file("one");
  write_bytes(one, file_bytes(ward.path()));
  write_bytes(ward.path(), base);
  ward.reopen();
  for (int i = 0; i < 3; ++i) ward.take(opening("B-" + std::to_string(i)));
  CHECK(problems(ward.ledger()).empty());
  for (std::int64_t from = common + 2; from <= common + 3; ++from) {
    const std::string mixed = ward.folder().file("mixed.trayproof");
    write_bytes(mixed, file_bytes(ward.path()));
    write_bytes(mixed + ".keys", file_bytes(ward.path() + ".keys"));
    SetClock clock(noon());
    Ledger ledger = opened(mixed, clock);
    REQUIRE(run_unguarded(
        ledger.file().database(),
        with(one, "DELETE FROM entries WHERE seq >= " + std::to_string(from) +
                      "; INSERT INTO entries SELECT * FROM other.entries WHERE seq >= " + std::to_string(from))));
    const auto found = problems(ledger, Depth::usual);
    REQUIRE(!found.empty());
    CHECK(found.front().starts_with(std::to_string(from) + ": the entry does not name the hash"));
  }
}

TEST_CASE("marks of another ledger or of an older state are not believed") {
  WardLedger ward;
  fill_small(ward, Curve::small);
  const std::string older = ward.folder().file("older");
  write_bytes(older, file_bytes(ward.path()));
  const std::int64_t was = ward.size();
  ward.take(R"({"kind":"pack-opened","at":"2026-10-05T11:00:00+05:00","by":"ana","pack":"PK-2"})");
  ward.take(R"({"kind":"pack-opened","at":"2026-10-05T11:01:00+05:00","by":"ana","pack":"PK-2"})");
  REQUIRE(problems(ward.ledger(), Depth::usual).empty());
  store::Database& database = ward.ledger().file().database();
  REQUIRE(run_unguarded(database, with(older, taken_over("latest"))));
  CHECK(any_holds(problems(ward.ledger(), Depth::usual), "the last commit ended with " + std::to_string(was)));
  // The mark of an older end moved on to the present one.
  REQUIRE(run_unguarded(database,
                        "UPDATE latest SET size = (SELECT max(seq) FROM entries), hash = (SELECT hash FROM entries "
                        "ORDER BY seq DESC LIMIT 1)"));
  CHECK(any_holds(problems(ward.ledger(), Depth::usual), "was not made by this station"));
  // An older mark of what was verified spares less, and that is all.
  REQUIRE(run_unguarded(database, with(older, taken_over("verified"))));
  const auto found = verify(ward.ledger(), Depth::usual);
  CHECK(found.value().signed_before < was);
  // A mark of what was verified later tells that the end is missing.
  write_bytes(ward.path() + ".later", file_bytes(ward.path()));
  write_bytes(ward.path(), file_bytes(older));
  ward.reopen();
  REQUIRE(problems(ward.ledger(), Depth::usual).empty());
}

TEST_CASE("an older copy with the newer mark of what was verified is told") {
  WardLedger ward;
  fill_small(ward, Curve::small);
  const std::string older = file_bytes(ward.path());
  ward.take(R"({"kind":"pack-opened","at":"2026-10-05T11:00:00+05:00","by":"ana","pack":"PK-2"})");
  REQUIRE(problems(ward.ledger(), Depth::usual).empty());
  const std::string newer = ward.folder().file("newer");
  write_bytes(newer, file_bytes(ward.path()));
  write_bytes(ward.path(), older);
  ward.reopen();
  REQUIRE(run_unguarded(ward.ledger().file().database(), with(newer, taken_over("verified"))));
  CHECK(any_holds(problems(ward.ledger(), Depth::usual),
                  "the record was verified with " + std::to_string(ward.size() + 1) + " events"));
}
