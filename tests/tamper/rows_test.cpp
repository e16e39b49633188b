// Rows of every table dropped, exchanged, doubled and planted, and rows of another ledger put among them.
#include "tests/support/test.h"
#include "tests/tamper/tampering.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

std::string text(std::int64_t number) { return std::to_string(number); }

bool is_told(Fate fate) { return fate == Fate::told || fate == Fate::closed; }

std::string listed(const std::vector<std::string>& columns, const std::string& of = "") {
  std::string all;
  for (const std::string& one : columns) all += (all.empty() ? "" : ", ") + of + "\"" + one + "\"";
  return all;
}

}  // namespace

TEST_CASE("an untouched copy is verified and answers as the ledger does") {
  Tampering tampering;
  const Fate fate = tampering.fate();
  INFO(tampering.last_word());
  CHECK(fate == Fate::unchanged);
  CHECK(tampering.size() >= 25);
  for (const Table& table : tables_of(tampering.path())) {
    INFO(table.name);
    CHECK(table.rows > 0);
  }
}

TEST_CASE("every dropped entry is told at its seq") {
  Tampering tampering;
  Tally tally;
  for (std::int64_t seq = 1; seq <= tampering.size(); ++seq) {
    for (const std::string& sql : {
             "DELETE FROM entries WHERE seq = " + text(seq),
             "DELETE FROM entries WHERE seq >= " + text(seq),
             // With everything after it moved up by one.
             "DELETE FROM entries WHERE seq = " + text(seq) + "; UPDATE entries SET seq = -seq + 1 WHERE seq > " +
                 text(seq) + "; UPDATE entries SET seq = -seq WHERE seq < 0",
         }) {
      tampering.fresh_copy();
      REQUIRE(tampering.run(sql));
      const Fate fate = tampering.fate();
      tally.add(fate);
      INFO(sql, ": ", tampering.last_word());
      CHECK(is_told(fate));
      if (fate == Fate::told) CHECK(tampering.named(seq));
    }
  }
  MESSAGE("entries dropped: ", tally.text());
}

TEST_CASE("every two entries exchanged are told at the first of them") {
  Tampering tampering;
  Tally tally;
  for (std::int64_t a = 1; a <= tampering.size(); ++a) {
    for (std::int64_t b = a + 1; b <= tampering.size(); ++b) {
      tampering.fresh_copy();
      REQUIRE(tampering.run("UPDATE entries SET seq = -1 WHERE seq = " + text(a) +
                            "; UPDATE entries SET seq = " + text(a) + " WHERE seq = " + text(b) +
                            "; UPDATE entries SET seq = " + text(b) + " WHERE seq = -1"));
      const Fate fate = tampering.fate();
      tally.add(fate);
      INFO(a, " and ", b, ": ", tampering.last_word());
      CHECK(is_told(fate));
      if (fate == Fate::told) CHECK(tampering.named(a));
    }
  }
  MESSAGE("entries exchanged: ", tally.text());
}

TEST_CASE("every entry doubled at its place or at the end is told") {
  Tampering tampering;
  for (std::int64_t seq = 1; seq <= tampering.size(); ++seq) {
    tampering.fresh_copy();
    REQUIRE(tampering.run(
        "INSERT INTO entries SELECT (SELECT max(seq) + 1 FROM entries), entry, hash, sig, NULL, content FROM entries "
        "WHERE seq = " +
        text(seq)));
    INFO(seq, ": ", tampering.last_word());
    CHECK(tampering.fate() == Fate::told);
    CHECK(tampering.named(tampering.size() + 1));
    tampering.fresh_copy();
    REQUIRE(
        tampering.run("UPDATE entries SET seq = -seq WHERE seq > " + text(seq) +
                      "; UPDATE entries SET seq = 1 - seq WHERE seq < 0; "
                      "INSERT INTO entries SELECT seq + 1, entry, hash, sig, NULL, content FROM entries WHERE seq = " +
                      text(seq)));
    CHECK(tampering.fate() == Fate::told);
    CHECK(tampering.named(seq + 1));
  }
}

TEST_CASE("an entry planted outside the record is told though no walk reads it") {
  Tampering tampering;
  for (const std::int64_t seq : {std::int64_t{0}, std::int64_t{-1}, INT64_MIN}) {
    tampering.fresh_copy();
    REQUIRE(tampering.run("INSERT INTO entries SELECT " +
                          (seq == INT64_MIN ? std::string("-9223372036854775807 - 1") : text(seq)) +
                          ", entry, hash, sig, 's-later', content FROM entries WHERE seq = 12"));
    CHECK(tampering.fate() == Fate::told);
    CHECK_EQ(tampering.first_seq().value_or(1), seq);
  }
  tampering.fresh_copy();
  REQUIRE(
      tampering.run("INSERT INTO entries SELECT 9223372036854775807, entry, hash, sig, NULL, content FROM entries "
                    "WHERE seq = 12"));
  CHECK(tampering.fate() == Fate::told);
  CHECK(tampering.named(tampering.size() + 1));
}

TEST_CASE("no row of any table is dropped or doubled or emptied unseen") {
  Tampering tampering;
  Tally tally;
  const auto tables = tables_of(tampering.path());
  const auto try_it = [&](const std::string& sql) {
    tampering.fresh_copy();
    if (!tampering.run(sql)) return;
    const Fate fate = tampering.fate();
    tally.add(fate);
    INFO(sql, ": ", tampering.last_word());
    CHECK(fate != Fate::unseen);
  };
  for (const Table& table : tables) {
    for (std::int64_t row = 0; row < table.rows; ++row) {
      const std::string where = table.where_row(row);
      try_it("DELETE FROM " + table.name + where);
      // Doubled under another first value of its key.
      for (const std::string& column : table.columns) {
        std::string values;
        for (const std::string& one : table.columns) {
          const std::string other = "CASE typeof(\"" + one + "\") WHEN 'integer' THEN \"" + one +
                                    "\" + 1000 WHEN 'text' THEN \"" + one + "\" || 'x' ELSE randomblob(length(\"" +
                                    one + "\")) END";
          values += (values.empty() ? "" : ", ") + (one == column ? other : "\"" + one + "\"");
        }
        try_it("INSERT INTO " + table.name + " (" + listed(table.columns) + ") SELECT " + values + " FROM " +
               table.name + where);
      }
    }
    try_it("DELETE FROM " + table.name);
    try_it("DROP TABLE " + table.name);
  }
  MESSAGE("rows dropped and doubled: ", tally.text());
}

TEST_CASE("no two rows of any table exchange a value unseen") {
  Tampering tampering;
  Tally tally;
  for (const Table& table : tables_of(tampering.path())) {
    for (std::int64_t row = 0; row + 1 < table.rows; ++row) {
      for (const std::string& column : table.columns) {
        tampering.fresh_copy();
        const std::string name = "\"" + column + "\"";
        const std::string one = "(SELECT " + listed(table.columns) + " FROM temp.two WHERE n = 1)";
        const std::string two = "(SELECT " + listed(table.columns) + " FROM temp.two WHERE n = 2)";
        const std::string all = "(" + listed(table.columns) + ")";
        // Both rows leave and come back, so that keys may be exchanged too.
        const std::string sql =
            "CREATE TEMP TABLE two AS SELECT row_number() OVER (ORDER BY " + listed(table.columns) +
            ") AS n, * FROM (" + "SELECT * FROM " + table.name + " ORDER BY " + listed(table.columns) +
            " LIMIT 2 OFFSET " + text(row) + "); DELETE FROM " + table.name + " WHERE " + all + " IS " + one + " OR " +
            all + " IS " + two + "; CREATE TEMP TABLE was AS SELECT * FROM two; UPDATE temp.two SET " + name +
            " = (SELECT " + name + " FROM temp.was WHERE temp.was.n = 3 - temp.two.n); INSERT INTO " + table.name +
            " (" + listed(table.columns) + ") SELECT " + listed(table.columns) + " FROM temp.two";
        if (!tampering.run(sql)) continue;
        const Fate fate = tampering.fate(Tampering::Ask::kept);
        tally.add(fate);
        INFO(table.name, ".", column, " of row ", row, " and the next: ", tampering.last_word());
        CHECK(fate != Fate::unseen);
      }
    }
  }
  MESSAGE("values exchanged: ", tally.text());
}
