// Every column of every row of every table changed to other values of its type, to another type and to nothing; values
// of one row put into another.
#include "tests/support/test.h"
#include "tests/tamper/tampering.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

// Values that somebody would try. What a table's own rules refuse is passed over.
std::vector<std::string> changes_of(const std::string& table, const std::string& column, std::int64_t row,
                                    std::int64_t rows) {
  const std::string c = "\"" + column + "\"";
  const auto by_type = [&](const std::string& integer, const std::string& text, const std::string& blob) {
    return "CASE typeof(" + c + ") WHEN 'integer' THEN " + integer + " WHEN 'text' THEN " + text +
           " WHEN 'blob' THEN " + blob + " ELSE 'x' END";
  };
  std::vector<std::string> changes = {
      by_type(c + " + 1", c + " || 'x'", "CAST(" + c + " || x'00' AS BLOB)"),
      by_type(c + " - 1", "substr(" + c + ", 1, length(" + c + ") - 1)", "substr(" + c + ", 1, length(" + c + ") - 1)"),
      by_type("0", "''", "zeroblob(length(" + c + "))"),
      by_type("-" + c, "upper(" + c + ")", "randomblob(length(" + c + "))"),
      by_type("999", "replace(" + c + ", '1', '2')", "x''"),
      by_type(c + " || ''", "replace(" + c + ", 'PK-1', 'PK-2')", "CAST(" + c + " AS TEXT)"),
      "NULL",
  };
  // The same column of the next row.
  if (rows > 1) {
    changes.push_back("(SELECT \"" + column + "\" FROM " + table + " ORDER BY 1 LIMIT 1 OFFSET " +
                      std::to_string((row + 1) % rows) + ")");
  }
  return changes;
}

}  // namespace

TEST_CASE("no value of any table is changed unseen and a changed entry is named by its seq") {
  for (const Curve curve : {Curve::small, Curve::two_parts}) {
    Tampering tampering(curve);
    const auto tables = tables_of(tampering.path());
    REQUIRE(tables.size() >= 10);
    Tally tally;
    for (const Table& table : tables) {
      // The larger attachment takes its time; only its own tables are new.
      if (curve == Curve::two_parts && !table.name.starts_with("attachment")) continue;
      for (const std::string& column : table.columns) {
        for (std::int64_t row = 0; row < table.rows; ++row) {
          const std::string where = table.where_row(row);
          const auto seq = std::stoll(asked(tampering.path(), "SELECT seq FROM " + table.name + where).value_or("0"));
          for (const std::string& change : changes_of(table.name, column, row, table.rows)) {
            const auto other = asked(tampering.path(), "SELECT count(*) FROM " + table.name + where + " AND \"" +
                                                           column + "\" IS NOT " + change);
            if (other.value_or("0") == "0") continue;  // it is that value already
            const std::string sql = "UPDATE " + table.name + " SET \"" + column + "\" = " + change + where;
            if (!tampering.run(sql)) continue;
            const Fate fate = tampering.fate();
            tally.add(fate);
            INFO(sql, ": ", tampering.last_word());
            CHECK(fate != Fate::unseen);
            if (table.name == "entries") {
              // The first entry says which ledger it is: changed, it is another's, and does not open with this key
              // file.
              CHECK((fate == Fate::told || (fate == Fate::closed && seq == 1)));
              const bool loses_signature = column == "sig" || column == "entry";
              if (fate == Fate::told && loses_signature) CHECK(tampering.named(seq));
              if (fate == Fate::told && !loses_signature && column != "seq")
                CHECK_EQ(tampering.first_seq().value_or(0), seq);
            }
            tampering.fresh_copy();
          }
        }
      }
    }
    MESSAGE("cells: ", tally.text());
  }
}
