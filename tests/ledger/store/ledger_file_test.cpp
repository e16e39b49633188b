#include "ledger/store/ledger_file.h"

#include "ledger/base/files.h"
#include "ledger/crypto/random.h"
#include "tests/support/folder.h"
#include "tests/support/test.h"

using namespace trayproof;
using store::Access;
using store::LedgerFile;

namespace {

constexpr Digest log_hash{};

LedgerFile created(const std::string& path) {
  auto file = LedgerFile::create(path);
  REQUIRE(file.ok());
  return std::move(file).value();
}

Result<void> put(LedgerFile& file, std::int64_t seq, std::string_view slip = {}) {
  const Digest hash = crypto::sha256(as_bytes("entry " + std::to_string(seq)));
  TRY_LET(auto transaction, file.begin());
  TRY(file.insert({.seq = seq, .bytes = "{}", .hash = hash, .sig = {}}, {.slip = slip, .content = {}}));
  return transaction.commit();
}

}  // namespace

TEST_CASE("an entry takes the next seq and no other") {
  const tests::Folder folder;
  LedgerFile file = created(folder.file("a"));
  CHECK(!put(file, 2).ok());
  CHECK(!put(file, 0).ok());
  REQUIRE(put(file, 1).ok());
  CHECK(!put(file, 1).ok());
  CHECK(!put(file, 3).ok());
  REQUIRE(put(file, 2).ok());
  CHECK_EQ(file.head().value().seq, 2);
}

TEST_CASE("an entry is put inside a transaction and a rolled back one leaves its seq free") {
  const tests::Folder folder;
  LedgerFile file = created(folder.file("a"));
  const auto entry = [](std::int64_t seq) {
    return store::EntryView{.seq = seq, .bytes = "{}", .hash = ByteView(log_hash), .sig = {}};
  };
  CHECK(!file.insert(entry(1), {}).ok());
  {
    auto transaction = file.begin();
    REQUIRE(transaction.ok());
    REQUIRE(file.insert(entry(1), {}).ok());
    REQUIRE(file.insert(entry(2), {}).ok());
  }
  CHECK_EQ(file.head().value().seq, 0);
  CHECK(!put(file, 3).ok());
  REQUIRE(put(file, 1).ok());
  CHECK_EQ(file.head().value().seq, 1);
}

TEST_CASE("entries of two connections take turns") {
  const tests::Folder folder;
  LedgerFile one = created(folder.file("a"));
  auto two = LedgerFile::open(folder.file("a"), Access::write);
  REQUIRE(two.ok());
  REQUIRE(put(one, 1).ok());
  REQUIRE(put(two.value(), 2).ok());
  CHECK(!put(one, 2).ok());
  REQUIRE(put(one, 3).ok());
  CHECK_EQ(two.value().head().value().seq, 3);
}

TEST_CASE("entries can be neither changed nor removed nor replaced by the SQL of another hand") {
  const tests::Folder folder;
  LedgerFile file = created(folder.file("a"));
  for (std::int64_t seq = 1; seq <= 3; ++seq) REQUIRE(put(file, seq).ok());
  auto other = store::Database::open(folder.file("a"), Access::write);  // as the sqlite3 shell does
  REQUIRE(other.ok());
  for (const char* sql :
       {"UPDATE entries SET entry = '{\"x\":1}' WHERE seq = 2", "UPDATE entries SET sig = x'' WHERE seq = 2",
        "UPDATE entries SET slip = 'x'", "DELETE FROM entries WHERE seq = 3", "DELETE FROM entries",
        "UPDATE entries SET seq = 9 WHERE seq = 3",
        "INSERT OR REPLACE INTO entries (seq, entry, hash, sig, content) SELECT 2, '{}', hash, sig, content FROM "
        "entries WHERE seq = 1",
        "REPLACE INTO entries (seq, entry, hash, sig, content) SELECT 3, '{}', hash, sig, content FROM entries WHERE "
        "seq = 1",
        "INSERT INTO entries (seq, entry, hash, sig, content) VALUES (4, '{}', x'00', x'', x'')",
        "INSERT INTO entries (seq, entry, hash, sig, content) SELECT 4, '{}', hash, x'00', content FROM entries WHERE "
        "seq = 1"}) {
    INFO(std::string(sql));
    CHECK(!other.value().run(sql).ok());
  }
  CHECK_EQ(file.head().value().seq, 3);
}

TEST_CASE("what another hand planted in the file is not run by the writer") {
  const tests::Folder folder;
  LedgerFile file = created(folder.file("a"));
  REQUIRE(put(file, 1).ok());
  auto other = store::Database::open(folder.file("a"), Access::write);
  REQUIRE(other.ok());
  REQUIRE(other.value()
              .run("CREATE TRIGGER planted AFTER INSERT ON entries BEGIN INSERT INTO landmarks VALUES ('planted', "
                   "new.seq); END")
              .ok());
  REQUIRE(put(file, 2).ok());
  CHECK(file.landmarks("planted").value().empty());
}

TEST_CASE("a slip stands once in the file") {
  const tests::Folder folder;
  LedgerFile file = created(folder.file("a"));
  REQUIRE(put(file, 1, "s-1").ok());
  REQUIRE(put(file, 2).ok());
  REQUIRE(put(file, 3).ok());
  CHECK(put(file, 4, "s-1").error().code() == ErrorCode::conflict);
  CHECK(file.find_slip("s-1").value() == 1);
  CHECK(!file.find_slip("s-2").value());
}

TEST_CASE("no two states of the file have the same count of changes") {
  const tests::Folder folder;
  LedgerFile writing = created(folder.file("a"));
  REQUIRE(put(writing, 1).ok());
  auto opened = LedgerFile::open(folder.file("a"), Access::read);
  REQUIRE(opened.ok());
  LedgerFile& reading = opened.value();
  const auto before = reading.changes().value();
  CHECK_EQ(reading.changes_at_a_glance().value(), before);
  {
    auto transaction = writing.begin();
    REQUIRE(transaction.ok());
    REQUIRE(
        writing.put_text({.stand_in = crypto::sha256(as_bytes("taken back")), .salt = {}, .text = "taken back"}).ok());
  }
  CHECK_EQ(reading.changes().value(), before);
  REQUIRE(put(writing, 2).ok());
  const auto appended = reading.changes().value();
  CHECK(appended != before);
  CHECK_EQ(reading.changes_at_a_glance().value(), appended);
  const Digest stand_in = crypto::sha256(as_bytes("words"));
  REQUIRE(writing.put_text({.stand_in = stand_in, .salt = {}, .text = "words"}).ok());
  const auto with_text = reading.changes().value();
  CHECK(with_text != appended);
  {
    auto transaction = writing.begin();
    REQUIRE(transaction.ok());
    REQUIRE(writing.destroy_text(stand_in).value());
    REQUIRE(transaction.value().commit().ok());
  }
  CHECK(reading.changes_at_a_glance().value() != with_text);
}

TEST_CASE("the count of a commit that is not whole is seen at a glance at most") {
  const tests::Folder folder;
  LedgerFile writing = created(folder.file("a"));
  REQUIRE(put(writing, 1).ok());
  auto opened = LedgerFile::open(folder.file("a"), Access::read);
  REQUIRE(opened.ok());
  LedgerFile& reading = opened.value();
  const auto before = reading.changes().value();
  // With room for few pages SQLite writes into the file before the commit.
  REQUIRE(writing.database().run("PRAGMA cache_size = 2").ok());
  REQUIRE(reading.database().run("PRAGMA busy_timeout = 0").ok());
  {
    auto transaction = writing.begin();
    REQUIRE(transaction.ok());
    const Bytes large(400'000, 7);
    REQUIRE(writing.put_attachment(crypto::sha256(large), large).ok());
    REQUIRE(!reading.head().ok());  // kept out by what was written already
    CHECK(!reading.changes().ok());
    CHECK(reading.changes_at_a_glance().ok());
  }
  CHECK_EQ(reading.changes().value(), before);
}

TEST_CASE("a file of another program or format is told apart") {
  const tests::Folder folder;
  { const LedgerFile file = created(folder.file("a")); }
  CHECK(LedgerFile::open(folder.file("a"), Access::read).ok());
  REQUIRE(write_new_file(folder.file("text"), as_bytes("this is no database at all, not even nearly one of them"),
                         FileMode::shared)
              .ok());
  REQUIRE(write_new_file(folder.file("empty"), {}, FileMode::shared).ok());
  CHECK(LedgerFile::open(folder.file("text"), Access::read).error().code() == ErrorCode::corrupt);
  CHECK(LedgerFile::open(folder.file("empty"), Access::read).error().code() == ErrorCode::corrupt);
  auto other = store::Database::create(folder.file("other"));
  REQUIRE(other.ok());
  REQUIRE(other.value().run("CREATE TABLE entries (seq)").ok());
  CHECK(LedgerFile::open(folder.file("other"), Access::write).error().code() == ErrorCode::corrupt);
  {
    LedgerFile file = created(folder.file("newer"));
    REQUIRE(file.database().run("PRAGMA user_version = 2").ok());
  }
  const auto newer = LedgerFile::open(folder.file("newer"), Access::read);
  REQUIRE(!newer.ok());
  CHECK(newer.error().sentence().find("format 2") != std::string::npos);
}

TEST_CASE("attachments of every size come back whole and once") {
  const tests::Folder folder;
  LedgerFile file = created(folder.file("a"));
  for (const std::size_t size : {0U, 1U, 999'999U, 1'000'000U, 1'000'001U, 2'500'000U}) {
    Bytes bytes(size);
    for (std::size_t i = 0; i < size; ++i) bytes[i] = static_cast<std::uint8_t>((i * i) >> 3);
    const Digest sha256 = crypto::sha256(bytes);
    CHECK(file.put_attachment(sha256, bytes).value());
    CHECK(!file.put_attachment(sha256, bytes).value());
    CHECK(file.has_attachment(sha256).value());
    CHECK(file.attachment(sha256).value() == bytes);
  }
  CHECK_EQ(file.attachments().value().size(), 6U);
  CHECK(file.attachment(crypto::sha256(as_bytes("none"))).error().code() == ErrorCode::missing);
}

TEST_CASE("a changed attachment is corrupt and not handed out") {
  const tests::Folder folder;
  LedgerFile file = created(folder.file("a"));
  Bytes bytes(2'500'000, 7);
  bytes[5] = 8;
  const Digest sha256 = crypto::sha256(bytes);
  REQUIRE(file.put_attachment(sha256, bytes).ok());
  for (const char* sql : {"DELETE FROM attachment_parts WHERE part = 1", "UPDATE attachment_parts SET part = 10 - part",
                          "UPDATE attachment_parts SET deflated = x'00' WHERE part = 0"}) {
    INFO(std::string(sql));
    auto transaction = store::Transaction::begin(file.database());
    REQUIRE(transaction.ok());
    REQUIRE(file.database().run(sql).ok());
    CHECK(file.attachment(sha256).error().code() == ErrorCode::corrupt);
  }
  CHECK(file.attachment(sha256).ok());
}
