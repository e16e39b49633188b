// Rows of entries dropped, exchanged and doubled, and entries of another ledger put among them.
#include "tests/support/test.h"
#include "tests/tamper/tampering.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

std::string text(std::int64_t number) { return std::to_string(number); }

}  // namespace

TEST_CASE("an untouched copy is verified and answers as the ledger does") {
  Tampering tampering;
  tampering.fresh_copy();
  const Fate fate = tampering.fate();
  INFO(tampering.last_word());
  CHECK(fate == Fate::unchanged);
  CHECK(tampering.ward().size() >= 20);
}

TEST_CASE("every dropped entry is told") {
  Tampering tampering;
  for (std::int64_t seq = 1; seq <= tampering.ward().size(); ++seq) {
    INFO(seq);
    tampering.fresh_copy();
    REQUIRE(tampering.run("DELETE FROM entries WHERE seq = " + text(seq)));
    const Fate fate = tampering.fate();
    CHECK((fate == Fate::told || fate == Fate::closed));
    tampering.fresh_copy();
    REQUIRE(tampering.run("DELETE FROM entries WHERE seq >= " + text(seq)));
    const Fate cut = tampering.fate();
    CHECK((cut == Fate::told || cut == Fate::closed));
    // With everything after it moved up by one.
    tampering.fresh_copy();
    REQUIRE(tampering.run("DELETE FROM entries WHERE seq = " + text(seq) +
                          "; UPDATE entries SET seq = -seq + 1 WHERE seq > " + text(seq) +
                          "; UPDATE entries SET seq = -seq WHERE seq < 0"));
    const Fate closed_up = tampering.fate();
    CHECK((closed_up == Fate::told || closed_up == Fate::closed));
  }
}

TEST_CASE("every two entries exchanged are told") {
  Tampering tampering;
  for (std::int64_t a = 1; a <= tampering.ward().size(); ++a) {
    for (std::int64_t b = a + 1; b <= tampering.ward().size(); ++b) {
      INFO(a, " and ", b);
      tampering.fresh_copy();
      REQUIRE(tampering.run("UPDATE entries SET seq = -1 WHERE seq = " + text(a) +
                            "; UPDATE entries SET seq = " + text(a) + " WHERE seq = " + text(b) +
                            "; UPDATE entries SET seq = " + text(b) + " WHERE seq = -1"));
      const Fate fate = tampering.fate();
      CHECK((fate == Fate::told || fate == Fate::closed));
    }
  }
}

TEST_CASE("every entry doubled at its place or at the end is told") {
  Tampering tampering;
  for (std::int64_t seq = 1; seq <= tampering.ward().size(); ++seq) {
    INFO(seq);
    tampering.fresh_copy();
    REQUIRE(
        tampering.run("INSERT INTO entries SELECT (SELECT max(seq) + 1 FROM entries), entry, hash, sig, NULL, content "
                      "FROM entries WHERE seq = " +
                      text(seq)));
    CHECK(tampering.fate() == Fate::told);
    tampering.fresh_copy();
    REQUIRE(
        tampering.run("UPDATE entries SET seq = -seq WHERE seq > " + text(seq) +
                      "; UPDATE entries SET seq = 1 - seq WHERE seq < 0; "
                      "INSERT INTO entries SELECT seq + 1, entry, hash, sig, NULL, content FROM entries WHERE seq = " +
                      text(seq)));
    CHECK(tampering.fate() == Fate::told);
  }
}

TEST_CASE("entries and texts and numbers of another ledger are told") {
  Tampering tampering;
  const Tampering other;
  for (const char* table : {"entries", "texts", "patients", "introduced", "corrections", "landmarks", "checkpoints",
                            "latest", "verified"}) {
    INFO(std::string(table));
    tampering.fresh_copy();
    const bool done =
        tampering.run("ATTACH '" + other.path() + "' AS other; BEGIN; DELETE FROM main." + table +
                      "; INSERT INTO main." + table + " SELECT * FROM other." + table + "; COMMIT; DETACH other");
    REQUIRE(done);
    const Fate fate = tampering.fate();
    INFO(tampering.last_word());
    CHECK(fate != Fate::unseen);
    const std::string name(table);
    if (name == "entries" || name == "texts" || name == "patients" || name == "checkpoints")
      CHECK((fate == Fate::told || fate == Fate::closed));
  }
}

TEST_CASE("the end of another ledger after the beginning of this one is told") {
  Tampering tampering;
  const Tampering other;
  for (std::int64_t from = 2; from <= tampering.ward().size(); ++from) {
    INFO(from);
    tampering.fresh_copy();
    REQUIRE(tampering.run(
        "ATTACH '" + other.path() + "' AS other; BEGIN; DELETE FROM entries WHERE seq >= " + text(from) +
        "; INSERT INTO entries SELECT * FROM other.entries WHERE seq >= " + text(from) + "; COMMIT; DETACH other"));
    CHECK(tampering.fate() == Fate::told);
  }
}
