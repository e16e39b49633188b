// What verify names, one damage after the other, each with the seq where it begins. tests/tamper goes through all of
// the file.
#include "ledger/content.h"
#include "ledger/log/chain.h"
#include "tests/support/test.h"
#include "tests/support/unguarded.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

class Damaged {
 public:
  Damaged() {
    ward.take(
        R"({"kind":"packed","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":"PK-1","set":"DS-1","wrap":"wrapped","slip":"s-1"})"
        "\n"
        R"({"kind":"procedure-done","at":"2026-10-05T09:00:00+05:00","by":"ana","procedure":"P-1","patient":"12-345-678",)"
        R"("sort":"delivery","place":"room","packs":["PK-1"],"note":"calm night"})"
        "\n"
        R"({"kind":"corrected","at":"2026-10-05T10:00:00+05:00","by":"ben","of":6,"why":"wrong wrap","replacement":)"
        R"({"kind":"packed","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":"PK-1","set":"DS-1","wrap":"pouch"}})"
        "\n");
    ward.take(R"({"kind":"pack-opened","at":"2026-10-05T09:30:00+05:00","by":"ana","pack":"PK-1"})");
  }
  void run(const std::string& sql) {
    INFO(sql);
    REQUIRE(run_unguarded(ward.ledger().file().database(), sql));
  }
  std::vector<std::string> found() { return problems(ward.ledger()); }
  std::string first() {
    const auto all = found();
    return all.empty() ? "nothing" : all.front();
  }

  WardLedger ward;
};

}  // namespace

TEST_CASE("an untouched ledger has no problem and says how much there is") {
  Damaged damaged;
  const auto found = verify(damaged.ward.ledger(), Depth::full);
  REQUIRE(found.ok());
  CHECK(found.value().problems.empty());
  CHECK_EQ(found.value().events, 9);
  CHECK(found.value().head == damaged.ward.ledger().head().value().hash);
  CHECK(found.value().root == damaged.ward.ledger().tree_head().value().root);
}

TEST_CASE("a changed byte is named at its entry") {
  Damaged damaged;
  damaged.run("UPDATE entries SET entry = replace(entry, 'PK-1', 'PK-2') WHERE seq = 7");
  CHECK(damaged.first().starts_with("7: "));
}

TEST_CASE("a changed byte with its hash made anew breaks the link of the next entry") {
  Damaged damaged;
  std::string bytes = damaged.ward.bytes_of(7);
  bytes.replace(bytes.find("PK-1"), 4, "PK-2");
  damaged.run("UPDATE entries SET entry = '" + bytes + "', hash = x'" + hex(log::leaf_hash(bytes)) + "' WHERE seq = 7");
  const auto found = damaged.found();
  CHECK(any_holds(found, "8: the entry does not name the hash"));
}

TEST_CASE("a history rewritten to its end without the key is unsigned") {
  Damaged damaged;
  Digest previous = damaged.ward.ledger().entry(6).value().hash;
  for (std::int64_t seq = 7; seq <= 9; ++seq) {
    json::Value event = damaged.ward.entry(seq);
    event.set("prev", hex(previous));
    if (seq == 7) event.set("place", "ward");
    const std::string bytes = json::canonical(event);
    previous = log::leaf_hash(bytes);
    damaged.run("UPDATE entries SET entry = '" + bytes + "', hash = x'" + hex(previous) + "', content = x'" +
                hex(content_digest(event)) + "' WHERE seq = " + std::to_string(seq));
  }
  const auto found = damaged.found();
  CHECK(any_holds(found, "signature"));
  CHECK(any_holds(found, "mark of the chain's end") != any_holds(found, "last commit ended"));
}

TEST_CASE("a missing entry is named where it is missing") {
  Damaged damaged;
  damaged.run("DELETE FROM entries WHERE seq = 7");
  CHECK(damaged.first().starts_with("7: an entry is missing"));
}

TEST_CASE("entries cut off at the end are missed") {
  Damaged damaged;
  damaged.run("DELETE FROM entries WHERE seq = 9");
  CHECK(damaged.first().starts_with("9: "));
  damaged.run("DELETE FROM latest");
  CHECK(!damaged.found().empty());
}

TEST_CASE("two entries exchanged are named at the first of them") {
  Damaged damaged;
  damaged.run(
      "UPDATE entries SET seq = -7 WHERE seq = 7; UPDATE entries SET seq = 7 WHERE seq = 8; UPDATE entries SET seq = 8 "
      "WHERE seq = -7");
  CHECK(damaged.first().starts_with("7: "));
}

TEST_CASE("a removed signature is named at the first event that it covered") {
  Damaged damaged;
  damaged.run("UPDATE entries SET sig = x'' WHERE seq = 8");
  CHECK(damaged.first().starts_with("6: no signature covers"));
}

TEST_CASE("what stands beside an entry is checked against its bytes") {
  struct Row {
    const char* sql;
    const char* found;
  };
  const Row rows[] = {
      {"UPDATE entries SET slip = 's-2' WHERE seq = 6", "6: slip or content"},
      {"UPDATE entries SET slip = NULL WHERE seq = 6", "6: slip or content"},
      {"UPDATE entries SET content = randomblob(16) WHERE seq = 7", "7: slip or content"},
      {"DELETE FROM introduced WHERE sort = 'procedure'", "7: the index of ids"},
      {"UPDATE introduced SET origin = 7 WHERE sort = 'pack'", "the index of ids"},
      {"INSERT INTO introduced (sort, id, origin, detail) VALUES ('pack', 'PK-9', 9, '')", "9: the index of ids"},
      {"DELETE FROM corrections", "8: the index of corrections"},
      {"UPDATE corrections SET origin = 7", "8: the index of corrections"},
      {"DELETE FROM landmarks WHERE kind = 'sop-adopted'", "5: the index of landmarks"},
      {"INSERT INTO landmarks (kind, seq) VALUES ('sop-adopted', 6)", "6: the index of landmarks"},
      {"UPDATE texts SET text = text || '.'", "a text beside the entry was changed"},
      {"UPDATE texts SET salt = CAST(salt || substr(text, 1, 1) AS BLOB), text = substr(text, 2)",
       "a text beside the entry was changed"},
      {"INSERT INTO entries SELECT -3, entry, hash, sig, 'later', content FROM entries WHERE seq = 6",
       "-3: a row stands outside the record"},
      {"CREATE TRIGGER other AFTER INSERT ON latest BEGIN DELETE FROM patients; END",
       "view or trigger that is not this format's: other"},
      {"DROP INDEX entries_by_slip", "lacks a table, index or trigger"},
      {"UPDATE texts SET salt = randomblob(16)", "a text beside the entry was changed"},
      {"DELETE FROM texts WHERE text = 'calm night'", "7: a text beside the entry is missing"},
      {"INSERT INTO texts (sha256, salt, text) VALUES (randomblob(32), randomblob(16), 'x')", "no entry names"},
      {"DELETE FROM patients", "7: a patient's number beside the entry is missing"},
      {"UPDATE patients SET lookup = randomblob(16)", "7: a patient's number beside the entry was changed"},
      {"UPDATE patients SET sealed_number = randomblob(66)", "7: a patient's number beside the entry was changed"},
      {"UPDATE patients SET sealed_key = randomblob(72)", "7: a patient's number beside the entry was changed"},
      {"UPDATE patients SET pseudonym = randomblob(16)", "a patient's number"},
      {"UPDATE latest SET mark = randomblob(32)", "9: the mark of the chain's end"},
      {"UPDATE latest SET size = 8", "last commit ended with 8"},
      {"UPDATE entries SET hash = randomblob(32) WHERE seq = 9", "9: the stored hash"},
  };
  for (const Row& row : rows) {
    INFO(std::string(row.sql));
    Damaged damaged;
    damaged.run(row.sql);
    const auto found = damaged.found();
    INFO(joined(found));
    CHECK(any_holds(found, row.found));
  }
}

TEST_CASE("numbers of two patients exchanged do not open") {
  Damaged damaged;
  damaged.ward.take(
      R"({"kind":"procedure-done","at":"2026-10-05T09:00:00+05:00","by":"ana","procedure":"P-2","patient":"87-654-321",)"
      R"("sort":"delivery","place":"room","packs":[]})");
  damaged.run(
      "CREATE TEMP TABLE t AS SELECT * FROM patients; DELETE FROM patients;"
      "INSERT INTO patients SELECT a.pseudonym, b.lookup, b.sealed_key, b.sealed_number FROM t a JOIN t b ON "
      "a.pseudonym <> b.pseudonym");
  CHECK(any_holds(damaged.found(), "number beside the entry was changed"));
  CHECK(!damaged.ward.ledger().patient_number(*damaged.ward.entry(7).text_at("patient")).value());
}

TEST_CASE("checkpoints are checked for their form and their signature and their root") {
  Damaged damaged;
  REQUIRE(damaged.ward.ledger().sign_checkpoint().ok());
  CHECK(damaged.found().empty());
  damaged.run("UPDATE checkpoints SET note = replace(note, 'trayproof/', 'trayproof:')");
  CHECK(any_holds(damaged.found(), "checkpoint"));
  damaged.run("UPDATE checkpoints SET note = 'nothing'");
  CHECK(any_holds(damaged.found(), "checkpoint cannot be read"));
}

TEST_CASE("a checkpoint of more events than there are tells that the end was cut off") {
  Damaged damaged;
  REQUIRE(damaged.ward.ledger().sign_checkpoint().ok());
  damaged.run("DELETE FROM entries WHERE seq = 9");
  CHECK(any_holds(damaged.found(), "checkpoint tells of 9 events"));
}

TEST_CASE("what was verified once and changed since is told by the mark alone") {
  Damaged damaged;
  CHECK(problems(damaged.ward.ledger(), Depth::usual).empty());
  json::Value event = damaged.ward.entry(9);
  event.set("pack", "PK-7");
  const std::string bytes = json::canonical(event);
  const Digest hash = log::leaf_hash(bytes);
  damaged.run("UPDATE entries SET entry = '" + bytes + "', hash = x'" + hex(hash) + "', content = x'" +
              hex(content_digest(event)) + "' WHERE seq = 9");
  const auto found = problems(damaged.ward.ledger(), Depth::usual);
  CHECK(any_holds(found, "9: the record up to here is not what it was"));
}

TEST_CASE("a signature changed since it was verified is named though it is spared the next time") {
  Damaged damaged;
  CHECK(problems(damaged.ward.ledger(), Depth::usual).empty());
  damaged.run("UPDATE entries SET sig = (SELECT sig FROM entries WHERE seq = 9) WHERE seq = 8");
  const auto found = problems(damaged.ward.ledger(), Depth::usual);
  REQUIRE(found.size() == 2);
  CHECK(found[0].starts_with("8: the signature does not fit"));
  CHECK(found[1].starts_with("9: the record up to here is not what it was"));
}

TEST_CASE("a key file with another station's key is told") {
  Damaged damaged;
  WardLedger other;
  auto keys = people::KeyFile::read(people::key_path(damaged.ward.path()));
  const auto others = people::KeyFile::read(people::key_path(other.path()));
  REQUIRE(keys.ok());
  REQUIRE(others.ok());
  keys.value().station_key = others.value().station_key;
  REQUIRE(std::remove(people::key_path(damaged.ward.path()).c_str()) == 0);
  REQUIRE(keys.value().write(people::key_path(damaged.ward.path())).ok());
  damaged.ward.reopen();
  CHECK(any_holds(damaged.found(), "the key file beside the ledger"));
}

TEST_CASE("a text removed before the second person countersigned is counted and named") {
  Damaged damaged;
  AppendOptions program;
  program.giver = events::Giver::program;
  damaged.ward.append(
      {event_of(
          R"({"kind":"text-removed","at":"2026-10-05T11:00:00+05:00","by":"ana","of":7,"field":"/note","second":"ben"})")},
      program);
  damaged.run("DELETE FROM texts WHERE text = 'calm night'");
  const auto found = verify(damaged.ward.ledger(), Depth::full);
  REQUIRE(found.ok());
  REQUIRE_EQ(found.value().problems.size(), 1);
  INFO(found.value().problems[0].what);
  CHECK(found.value().problems[0].seq.has_value());
  CHECK_EQ(found.value().removed_texts, 1);
}

TEST_CASE("an event signed by a retired or unknown key or by the ledger's own key is named") {
  WardLedger ward;
  AppendOptions program;
  program.giver = events::Giver::program;
  const std::string key(*ward.entry(2).text_at("public"));
  ward.append({event_of(R"({"kind":"key-retired","at":"2026-10-05T11:00:00+05:00","by":"station-1","public":")" + key +
                        R"(","since":"2026-10-05T11:00:00+05:00","cause":"lost"})")},
              program);
  CHECK(problems(ward.ledger()).empty());
  // The program refuses to write it; a hand that hides the retirement from the program gets it written.
  CHECK(!ward.ledger()
             .append_lines(R"({"kind":"pack-opened","at":"2026-10-05T09:30:00+05:00","by":"ana","pack":"PK-1"})", {})
             .ok());
  store::Database& database = ward.ledger().file().database();
  REQUIRE(database.run("DELETE FROM landmarks WHERE kind = 'key-retired'").ok());
  ward.take(R"({"kind":"pack-opened","at":"2026-10-05T09:30:00+05:00","by":"ana","pack":"PK-1"})");
  REQUIRE(database.run("INSERT INTO landmarks VALUES ('key-retired', 6)").ok());
  const auto found = problems(ward.ledger());
  REQUIRE(found.size() == 1);
  CHECK(found[0].starts_with("7: the entry is signed by a key that was retired in seq 6"));
}
