#include "ledger/store/database.h"

#include "tests/support/folder.h"
#include "tests/support/test.h"

using namespace trayproof;
using store::Access;
using store::Database;

namespace {

Database with_table(const std::string& path) {
  auto database = Database::create(path);
  REQUIRE(database.ok());
  REQUIRE(
      database.value().run("CREATE TABLE one (id INTEGER PRIMARY KEY, text TEXT, blob BLOB, real REAL) STRICT").ok());
  return std::move(database).value();
}

std::int64_t rows(Database& database) {
  auto count = database.prepare("SELECT count(*) FROM one");
  REQUIRE(count.ok());
  REQUIRE(count.value().step().ok());
  return count.value().integer(0);
}

}  // namespace

TEST_CASE("what was bound is read back and an empty value is no null") {
  const tests::Folder folder;
  Database database = with_table(folder.file("a"));
  auto write = database.prepare("INSERT INTO one (text, blob, real) VALUES (?, ?, ?)");
  REQUIRE(write.ok());
  REQUIRE(write.value().bind(1, std::string_view()).bind(2, ByteView()).bind(3, 1.5).run().ok());
  REQUIRE(write.value().bind(1, std::string_view("a\0b", 3)).bind_null(2).bind_null(3).run().ok());
  auto read = database.prepare("SELECT text, blob, real FROM one ORDER BY id");
  REQUIRE(read.ok());
  REQUIRE(read.value().step().value());
  CHECK(!read.value().is_null(0));
  CHECK(!read.value().is_null(1));
  CHECK(read.value().maybe_real(2) == 1.5);
  REQUIRE(read.value().step().value());
  CHECK_EQ(read.value().text(0).size(), 3U);
  CHECK(read.value().is_null(1));
  CHECK(!read.value().maybe_real(2));
  CHECK(!read.value().step().value());
}

TEST_CASE("a transaction that is not committed leaves nothing") {
  const tests::Folder folder;
  Database database = with_table(folder.file("a"));
  {
    auto transaction = store::Transaction::begin(database);
    REQUIRE(transaction.ok());
    REQUIRE(database.run("INSERT INTO one (text) VALUES ('x')").ok());
    CHECK_EQ(rows(database), 1);
  }
  CHECK_EQ(rows(database), 0);
  CHECK(!database.in_transaction());
  {
    auto transaction = store::Transaction::begin(database);
    REQUIRE(transaction.ok());
    REQUIRE(database.run("INSERT INTO one (text) VALUES ('x')").ok());
    REQUIRE(transaction.value().commit().ok());
  }
  CHECK_EQ(rows(database), 1);
}

TEST_CASE("opening creates no file and tells what is no database") {
  const tests::Folder folder;
  CHECK(!Database::open(folder.file("none"), Access::write).ok());
  CHECK_EQ(folder.files(), 0U);
  const auto first = with_table(folder.file("a"));
  auto reader = Database::open(folder.file("a"), Access::read);
  REQUIRE(reader.ok());
  const auto denied = reader.value().run("INSERT INTO one (text) VALUES ('x')");
  REQUIRE(!denied.ok());
  CHECK(denied.error().code() == ErrorCode::denied);
}

TEST_CASE("creating a database over another file is a conflict") {
  const tests::Folder folder;
  const auto first = with_table(folder.file("a"));
  const auto again = Database::create(folder.file("a"));
  REQUIRE(!again.ok());
  CHECK(again.error().code() == ErrorCode::conflict);
}

TEST_CASE("broken rules of a table are a conflict and wrong SQL is an error") {
  const tests::Folder folder;
  Database database = with_table(folder.file("a"));
  REQUIRE(database.run("INSERT INTO one (id) VALUES (1)").ok());
  CHECK(database.run("INSERT INTO one (id) VALUES (1)").error().code() == ErrorCode::conflict);
  CHECK(!database.run("INSERT INTO one (id) VALUES (\"x\")").ok());  // double quotes are no text here
  CHECK(!database.prepare("SELECT nothing FROM nowhere").ok());
}
