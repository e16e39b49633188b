// The file of derived tables: cells changed, rows dropped and doubled, objects planted, marks moved. Each time recall,
// exposure, gaps and traces must be what they were, or be refused, or verify names the tables.
#include <sstream>

#include "report/command/verbs.h"
#include "tests/support/test.h"
#include "tests/tamper/tampering.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

class Tables {
 public:
  Tables() : clock_(noon()), path_(tampering_.path()) {
    expected_ = verb_answers(path_, clock_);
    CHECK(run("PRAGMA page_size = 512; VACUUM"));  // less room where nothing stands
    tables_ = file_bytes(links());
  }
  std::string links() const { return path_ + ".links"; }
  void fresh() {
    write_bytes(links(), tables_);
    std::remove((links() + "-journal").c_str());
  }
  bool run(const std::string& sql) {
    auto database = store::Database::open(links(), store::Access::write);
    return database.ok() && database.value().run("PRAGMA synchronous = OFF; PRAGMA foreign_keys = OFF; " + sql).ok();
  }
  // What is answered otherwise while verify says that all is well; nothing when there is none.
  std::string unseen(Tally& tally) {
    const std::string damaged = file_bytes(links());
    const Answers answers = verb_answers(path_, clock_);
    const std::string names = different(expected_, answers);
    const bool is_refused = !refused(expected_, answers).empty();
    if (names.empty()) {
      tally.add(is_refused ? Fate::closed : Fate::unchanged);
      return "";
    }
    write_bytes(links(), damaged);
    std::ostringstream out;
    std::ostringstream err;
    const auto status = command::verify_record(
        {.out = out, .err = err, .clock = clock_, .ledger_path = path_, .json = true}, {.full = false});
    const bool told = status != command::Status::done;
    tally.add(told ? Fate::told : Fate::unseen);
    return told ? "" : names;
  }

 private:
  Tampering tampering_;
  SetClock clock_;
  std::string path_;
  std::string tables_;
  Answers expected_;
};

// Values of the same sort that somebody would try.
std::vector<std::string> changes_of(const std::string& column) {
  const std::string c = "\"" + column + "\"";
  return {
      "CASE typeof(" + c + ") WHEN 'integer' THEN " + c + " + 86400000 WHEN 'real' THEN " + c +
          " * 2 WHEN 'text' THEN " + c + " || 'x' WHEN 'null' THEN 1 ELSE randomblob(32) END",
      "CASE typeof(" + c + ") WHEN 'integer' THEN 1 - " + c + " WHEN 'text' THEN replace(replace(" + c +
          ", '1', '2'), 'used', 'held') ELSE NULL END",
      "CASE typeof(" + c + ") WHEN 'integer' THEN " + c + " - 1 WHEN 'text' THEN 'PK-2' ELSE 0 END",
  };
}

}  // namespace

TEST_CASE("no cell of the derived tables is changed unseen") {
  Tables tables;
  Tally tally;
  std::int64_t nth = 0;
  for (const Table& table : tables_of(tables.links())) {
    for (std::int64_t row = 0; row < table.rows; ++row) {
      const std::string where = table.where_row(row);
      for (const std::string& column : table.columns) {
        for (const std::string& change : changes_of(column)) {
          // In the time of a test run: all of what ties the events together, and some of each kind's own table.
          const bool own =
              asked(tables.links(), "SELECT 1 FROM pragma_table_info('" + table.name + "') WHERE name = 'precision'")
                  .has_value();
          if (!everything() && ++nth % (own ? 61 : 7) != 0) continue;
          if (!tables.run("UPDATE \"" + table.name + "\" SET \"" + column + "\" = " + change + where)) continue;
          INFO(table.name, ".", column, " of row ", row, " = ", change);
          CHECK_EQ(tables.unseen(tally), "");
          tables.fresh();
        }
      }
    }
  }
  MESSAGE("cells of derived tables (not opened = refused): ", tally.text());
}

TEST_CASE("no row of the derived tables is dropped or doubled unseen") {
  Tables tables;
  Tally tally;
  std::int64_t nth = 0;
  for (const Table& table : tables_of(tables.links())) {
    for (std::int64_t row = 0; row < table.rows; ++row) {
      for (const bool dropped : {true, false}) {
        if (!everything() && ++nth % 2 != 0) continue;
        const std::string rows = "\"" + table.name + "\"" + table.where_row(row);
        if (!tables.run(dropped ? "DELETE FROM " + rows : "INSERT INTO \"" + table.name + "\" SELECT * FROM " + rows))
          continue;
        INFO(table.name, dropped ? " dropped row " : " doubled row ", row);
        CHECK_EQ(tables.unseen(tally), "");
        tables.fresh();
      }
    }
    if (!tables.run("DELETE FROM \"" + table.name + "\"")) continue;
    INFO(table.name, " emptied");
    CHECK_EQ(tables.unseen(tally), "");
    tables.fresh();
  }
  MESSAGE("rows of derived tables (not opened = refused): ", tally.text());
}

TEST_CASE("what is planted in the derived tables is told or thrown away") {
  Tables tables;
  Tally tally;
  for (const char* sql : {
           "DROP TABLE uses",
           "DROP INDEX uses_by_load",
           "ALTER TABLE uses RENAME TO kept; CREATE VIEW uses AS SELECT * FROM kept WHERE pack <> 'PK-1'",
           "CREATE VIEW v AS SELECT 1",
           "CREATE TRIGGER t AFTER INSERT ON uses BEGIN DELETE FROM uses; END",
           "DROP INDEX loads_by_solution; CREATE TRIGGER t AFTER INSERT ON uses BEGIN DELETE FROM uses; END",
           "DROP INDEX uses_by_load; CREATE INDEX uses_by_load ON uses (load) WHERE load IS NULL",
           "CREATE TABLE t (x)",
           "UPDATE watermark SET seq = seq - 3",
           "UPDATE watermark SET seq = 0, hash = zeroblob(32)",
           "UPDATE watermark SET seq = seq + 1",
           "UPDATE watermark SET hash = randomblob(32)",
           "UPDATE watermark SET ledger = 'other'",
           "UPDATE watermark SET version = '0'",
           "UPDATE watermark SET zone = 'Etc/GMT+11'",
           "UPDATE watermark SET zone = 'nowhere'",
           "UPDATE watermark SET last_at_ms = last_at_ms + 86400000000",
           "UPDATE watermark SET last_at_ms = 0",
           "DELETE FROM watermark",
       }) {
    REQUIRE(tables.run(sql));
    INFO(std::string(sql));
    CHECK_EQ(tables.unseen(tally), "");
    tables.fresh();
  }
  for (const char* bytes : {"", "x", "SQLite format 3"}) {
    write_bytes(tables.links(), bytes);
    CHECK_EQ(tables.unseen(tally), "");
    tables.fresh();
  }
  MESSAGE("derived tables built otherwise (not opened = refused): ", tally.text());
}

TEST_CASE("no changed byte of the derived tables is unseen") {
  Tables tables;
  Tally tally;
  const std::string good = file_bytes(tables.links());
  const std::size_t step = everything() ? 7 : good.size() / 100 | 1;
  for (std::size_t at = 0; at < good.size(); at += step) {
    put_byte(tables.links(), at, static_cast<char>(~good[at]));
    INFO("byte ", at);
    CHECK_EQ(tables.unseen(tally), "");
    tables.fresh();
  }
  MESSAGE(good.size(), " bytes of derived tables, every ", step, ". (not opened = refused): ", tally.text());
}
