// The writer of packs and the reader of foreign zips, against each other.
#include <cstdlib>
#include <ctime>

#include "ledger/base/files.h"
#include "ledger/crypto/hash.h"
#include "report/evidence/check/archive.h"
#include "report/evidence/zip_writer.h"
#include "tests/support/folder.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::evidence;

namespace {

const Instant at{1'791'964'800'000};  // 2026-10-14T08:00:00Z

std::vector<Member> measured(std::vector<std::pair<std::string, std::string>> contents) {
  std::vector<Member> members;
  for (auto& [name, bytes] : contents) members.push_back(member_of(name, bytes));
  for (Member& member : members) REQUIRE(measure(member).ok());
  return members;
}

void write(const std::string& path, std::vector<std::pair<std::string, std::string>> contents) {
  auto members = measured(std::move(contents));
  REQUIRE(write_zip(path, members, at).ok());
}

std::string bytes_of(const std::string& path) {
  const auto bytes = read_file(path, 1 << 20);
  REQUIRE(bytes.ok());
  return std::string(as_text(bytes.value()));
}

}  // namespace

TEST_CASE("what was written is read and its members come in order") {
  const tests::Folder folder;
  write(folder.file("a.zip"), {{"texts.jsonl", "one\ntwo\n"}, {"pack.json", std::string(200'000, 'x')}});
  const auto archive = Archive::open(folder.file("a.zip"));
  REQUIRE(archive.ok());
  CHECK(archive.value().names() == std::vector<std::string>{"pack.json", "texts.jsonl"});
  const auto text = archive.value().text("pack.json", 200'000);
  REQUIRE(text.ok());
  CHECK(text.value() == std::string(200'000, 'x'));
  CHECK_FALSE(archive.value().text("pack.json", 199'999).ok());
  CHECK_FALSE(archive.value().text("proofs.txt", 100).ok());
}

TEST_CASE("lines are read one by one and a line without an end is refused") {
  const tests::Folder folder;
  write(folder.file("a.zip"), {{"texts.jsonl", "one\n\nthree\nfour"}});
  const auto archive = Archive::open(folder.file("a.zip"));
  REQUIRE(archive.ok());
  auto lines = archive.value().reader("texts.jsonl");
  REQUIRE(lines.ok());
  for (const char* wanted : {"one", "", "three"}) {
    const auto line = lines.value().line(10);
    REQUIRE(line.ok());
    CHECK(line.value() == std::string_view(wanted));
  }
  CHECK_FALSE(lines.value().line(10).ok());
}

TEST_CASE("a line past the limit is refused") {
  const tests::Folder folder;
  write(folder.file("a.zip"), {{"texts.jsonl", std::string(300'000, 'x') + "\n"}});
  const auto archive = Archive::open(folder.file("a.zip"));
  REQUIRE(archive.ok());
  auto lines = archive.value().reader("texts.jsonl");
  REQUIRE(lines.ok());
  CHECK_FALSE(lines.value().line(1000).ok());
}

TEST_CASE("the bytes of a zip do not depend on the machine's zone nor on the order of its members") {
  const tests::Folder folder;
  write(folder.file("a.zip"), {{"pack.json", "{}"}, {"texts.jsonl", "t\n"}});
  ::setenv("TZ", "Asia/Kathmandu", 1);
  ::tzset();
  write(folder.file("b.zip"), {{"texts.jsonl", "t\n"}, {"pack.json", "{}"}});
  ::unsetenv("TZ");
  ::tzset();
  CHECK(bytes_of(folder.file("a.zip")) == bytes_of(folder.file("b.zip")));
}

TEST_CASE("a member whose reading fails leaves no zip and tells why") {
  const tests::Folder folder;
  std::vector<Member> members = measured({{"pack.json", "{}"}});
  members[0].open = []() -> Chunks {
    return []() -> Result<std::string> { return Error(ErrorCode::corrupt, "the disk is gone"); };
  };
  const auto done = write_zip(folder.file("a.zip"), members, at);
  REQUIRE_FALSE(done.ok());
  CHECK(done.error().sentence() == "the disk is gone");
}

TEST_CASE("a member is measured by its bytes") {
  const auto members = measured({{"pack.json", "abc"}});
  CHECK(members[0].bytes == 3);
  CHECK(members[0].sha256 == crypto::sha256(as_bytes("abc")));
}
