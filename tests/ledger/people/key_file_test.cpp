#include "ledger/people/key_file.h"

#include <sys/stat.h>

#include "ledger/base/files.h"
#include "ledger/crypto/random.h"
#include "tests/support/folder.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using people::KeyFile;

namespace {

std::string some_ledger() { return hex(crypto::random_bytes<16>()); }

}  // namespace

TEST_CASE("a key file reads back and is its owner's alone") {
  const tests::Folder folder;
  const std::string path = folder.file("a.keys");
  const KeyFile made = KeyFile::make(some_ledger(), "station-1");
  REQUIRE(made.write(path).ok());
  struct stat info {};
  REQUIRE(::stat(path.c_str(), &info) == 0);
  CHECK_EQ(info.st_mode & 0777U, 0600U);
  const auto read = KeyFile::read(path);
  REQUIRE(read.ok());
  CHECK_EQ(read.value().ledger, made.ledger);
  CHECK_EQ(read.value().station, made.station);
  CHECK(read.value().station_key.public_key() == made.station_key.public_key());
  CHECK(read.value().ledger_key.public_key() == made.ledger_key.public_key());
  CHECK(read.value().lookup_secret == made.lookup_secret);
  CHECK(read.value().sealing_secret == made.sealing_secret);
  CHECK(read.value().mark_secret == made.mark_secret);
}

TEST_CASE("every secret of a key file differs from every other and from those of another file") {
  const KeyFile one = KeyFile::make(some_ledger(), "station-1");
  const KeyFile two = KeyFile::make(some_ledger(), "station-1");
  const Digest secrets[] = {one.station_key.seed(), one.ledger_key.seed(),  one.lookup_secret,     one.sealing_secret,
                            one.mark_secret,        two.station_key.seed(), two.ledger_key.seed(), two.lookup_secret,
                            two.sealing_secret,     two.mark_secret};
  for (std::size_t i = 0; i < std::size(secrets); ++i) {
    for (std::size_t k = 0; k < i; ++k) CHECK(secrets[i] != secrets[k]);
  }
}

TEST_CASE("a key file is never written over") {
  const tests::Folder folder;
  const std::string path = folder.file("a.keys");
  const KeyFile made = KeyFile::make(some_ledger(), "station-1");
  REQUIRE(made.write(path).ok());
  const std::string before = tests::file_bytes(path);
  const auto again = KeyFile::make(some_ledger(), "station-1").write(path);
  REQUIRE(!again.ok());
  CHECK(again.error().code() == ErrorCode::conflict);
  CHECK_EQ(tests::file_bytes(path), before);
}

TEST_CASE("a key file that others may read or write is refused") {
  const tests::Folder folder;
  const std::string path = folder.file("a.keys");
  REQUIRE(KeyFile::make(some_ledger(), "station-1").write(path).ok());
  for (const ::mode_t mode : {0644U, 0640U, 0604U, 0620U, 0601U, 0660U, 0666U}) {
    REQUIRE(::chmod(path.c_str(), mode) == 0);
    const auto read = KeyFile::read(path);
    REQUIRE(!read.ok());
    CHECK(read.error().code() == ErrorCode::denied);
    CHECK(tests::holds(read.error().sentence(), path));
  }
  for (const ::mode_t mode : {0600U, 0400U}) {
    REQUIRE(::chmod(path.c_str(), mode) == 0);
    CHECK(KeyFile::read(path).ok());
  }
}

TEST_CASE("a missing or damaged key file is told apart") {
  const tests::Folder folder;
  const std::string path = folder.file("a.keys");
  CHECK(KeyFile::read(path).error().code() == ErrorCode::missing);
  REQUIRE(KeyFile::make(some_ledger(), "station-1").write(path).ok());
  const std::string good = tests::file_bytes(path);
  for (const std::string& bad :
       {std::string(), good.substr(0, good.size() / 2), good + "x", std::string("[]"), std::string("{}")}) {
    REQUIRE(replace_file(path, as_bytes(bad), FileMode::owner_only).ok());
    CHECK(KeyFile::read(path).error().code() == ErrorCode::corrupt);
  }
  for (const char* member :
       {"ledger", "station", "station_key", "ledger_key", "lookup_secret", "sealing_secret", "mark_secret", "format"}) {
    json::Value value = json::parse(good).value();
    value.erase(member);
    const std::string bytes = json::plain(value);
    REQUIRE(replace_file(path, as_bytes(bytes), FileMode::owner_only).ok());
    CHECK(KeyFile::read(path).error().code() == ErrorCode::corrupt);
  }
}
