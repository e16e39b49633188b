// What is built into the file beside its rows: triggers, views, indexes, tables, the marks of the format.
#include "tests/support/test.h"
#include "tests/support/unguarded.h"
#include "tests/tamper/tampering.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

// Without putting the triggers back.
bool run_plainly(const std::string& path, const std::string& sql) {
  auto database = store::Database::open(path, store::Access::write);
  return database.ok() && database.value().run("PRAGMA synchronous = OFF; PRAGMA foreign_keys = OFF; " + sql).ok();
}

}  // namespace

TEST_CASE("every trigger and index and table that is dropped is told") {
  Tampering tampering;
  auto database = store::Database::open(tampering.path(), store::Access::read);
  REQUIRE(database.ok());
  std::vector<std::string> drops;
  {
    auto rows = database.value().prepare("SELECT type, name FROM sqlite_master WHERE sql IS NOT NULL");
    REQUIRE(rows.ok());
    while (rows.value().step().value())
      drops.push_back("DROP " + std::string(rows.value().text(0)) + " " + std::string(rows.value().text(1)));
  }
  REQUIRE(drops.size() >= 16);
  for (const std::string& drop : drops) {
    tampering.fresh_copy();
    REQUIRE(run_plainly(tampering.path(), drop));
    INFO(drop, ": ", tampering.last_word());
    const Fate fate = tampering.fate();
    CHECK((fate == Fate::told || fate == Fate::closed));
  }
}

TEST_CASE("what is planted or built otherwise is told before it does anything") {
  Tampering tampering;
  for (const char* sql : {
           "CREATE TRIGGER t AFTER INSERT ON latest BEGIN DELETE FROM texts; END",
           "CREATE TRIGGER t AFTER INSERT ON verified BEGIN UPDATE patients SET lookup = randomblob(16); END",
           "CREATE TRIGGER t AFTER INSERT ON introduced BEGIN DELETE FROM introduced WHERE id = new.id; END",
           "CREATE VIEW v AS SELECT * FROM entries",
           "CREATE TABLE t (x)",
           "CREATE INDEX i ON entries (length(entry))",
           "CREATE UNIQUE INDEX i ON entries (content)",
           // Other objects under the names of those that belong there.
           "DROP TRIGGER entries_never_go; CREATE TRIGGER entries_never_go BEFORE DELETE ON entries BEGIN SELECT 1; "
           "END",
           "DROP TRIGGER entries_only_next; CREATE TRIGGER entries_only_next AFTER INSERT ON texts BEGIN SELECT 1; END",
           "DROP INDEX entries_by_slip; CREATE INDEX entries_by_slip ON entries (slip)",
           "DROP INDEX entries_by_slip; CREATE UNIQUE INDEX entries_by_slip ON entries (slip) WHERE slip > 't'",
           "DROP INDEX entries_by_content; CREATE INDEX entries_by_content ON entries (content) WHERE seq < 10",
           "ALTER TABLE texts RENAME TO kept; CREATE VIEW texts AS SELECT sha256, salt, text FROM kept",
           "ALTER TABLE texts ADD COLUMN more TEXT",
           "DROP INDEX corrections_by_origin; CREATE VIEW corrections_by_origin AS SELECT 1",
           // The format's own words, with others after them.
           "DROP TRIGGER entries_never_go; CREATE TRIGGER entries_never_go BEFORE DELETE ON entries BEGIN SELECT RAISE "
           "(ABORT, 'entries are never removed'); DELETE FROM texts; END",
           "CREATE TRIGGER \"x; CREATE TRIGGER entries_never_go\" AFTER INSERT ON texts BEGIN SELECT 1; END",
       }) {
    tampering.fresh_copy();
    INFO(std::string(sql), ": ", tampering.last_word());
    REQUIRE(run_plainly(tampering.path(), sql));
    CHECK(tampering.fate() == Fate::told);
  }
}

TEST_CASE("comments and blanks in the words of a table are no other table while quoted texts are") {
  Tampering tampering;
  const auto rewrite = [&](const std::string& from, const std::string& to) {
    tampering.fresh_copy();
    // SQLite lets nobody write its own table on a connection that is on its guard; the words are changed in place, on
    // pages that hold them whole.
    REQUIRE(run_plainly(tampering.path(), "PRAGMA page_size = 8192; VACUUM"));
    std::string bytes = file_bytes(tampering.path());
    const std::size_t at = bytes.find(from);
    REQUIRE(at != std::string::npos);
    REQUIRE(from.size() == to.size());
    bytes.replace(at, from.size(), to);
    write_bytes(tampering.path(), bytes);
    return tampering.fate();
  };
  CHECK(rewrite("the recorder's own mark", "what a recorder gives  ") == Fate::unchanged);
  CHECK(rewrite("BEFORE DELETE", "AFTER  DELETE") == Fate::told);
  CHECK(rewrite("never removed", "never moved--") == Fate::told);
  CHECK(rewrite("'an entry takes the next seq'", "'-- entry takes the next seq'") == Fate::told);
}

TEST_CASE("a file of another format or program does not open") {
  Tampering tampering;
  for (const char* sql : {"PRAGMA user_version = 0", "PRAGMA user_version = 2", "PRAGMA user_version = -1",
                          "PRAGMA application_id = 0", "PRAGMA application_id = 1"}) {
    tampering.fresh_copy();
    REQUIRE(run_plainly(tampering.path(), sql));
    INFO(std::string(sql), ": ", tampering.last_word());
    CHECK(tampering.fate() == Fate::closed);
  }
}

TEST_CASE("the file arranged otherwise answers as before") {
  Tampering tampering;
  for (const char* sql :
       {"VACUUM", "PRAGMA page_size = 8192; VACUUM", "REINDEX", "ANALYZE", "PRAGMA auto_vacuum = FULL; VACUUM",
        "PRAGMA default_cache_size = 9", "PRAGMA secure_delete = OFF"}) {
    tampering.fresh_copy();
    REQUIRE(run_plainly(tampering.path(), sql));
    const Fate fate = tampering.fate();
    INFO(std::string(sql), ": ", tampering.last_word());
    CHECK(fate == Fate::unchanged);
  }
  tampering.fresh_copy();
  REQUIRE(run_plainly(tampering.path(), "PRAGMA journal_mode = WAL"));
  const Fate fate = tampering.fate();
  INFO(tampering.last_word());
  CHECK(fate != Fate::unseen);
}
