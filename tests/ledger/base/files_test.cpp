#include "ledger/base/files.h"

#include <sys/stat.h>

#include "tests/support/folder.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

unsigned mode_of(const std::string& path) {
  struct stat info {};
  REQUIRE(::stat(path.c_str(), &info) == 0);
  return info.st_mode & 0777U;
}

std::string text_of(const std::string& path) {
  const auto bytes = read_file(path, 1000);
  REQUIRE(bytes.ok());
  return std::string(as_text(bytes.value()));
}

}  // namespace

TEST_CASE("a new file is never written over another and leaves nothing beside it") {
  const tests::Folder folder;
  const std::string path = folder.file("one");
  REQUIRE(write_new_file(path, as_bytes("first"), FileMode::owner_only).ok());
  CHECK_EQ(mode_of(path), 0600U);
  const auto again = write_new_file(path, as_bytes("second"), FileMode::shared);
  REQUIRE(!again.ok());
  CHECK(again.error().code() == ErrorCode::conflict);
  CHECK_EQ(text_of(path), "first");
  CHECK_EQ(folder.files(), 1U);
}

TEST_CASE("a replaced file is whole and has the mode that was asked for") {
  const tests::Folder folder;
  const std::string path = folder.file("one");
  REQUIRE(replace_file(path, as_bytes("first"), FileMode::owner_only).ok());
  REQUIRE(replace_file(path, as_bytes("second"), FileMode::shared).ok());
  CHECK_EQ(text_of(path), "second");
  CHECK_EQ(mode_of(path), 0644U);
  CHECK_EQ(folder.files(), 1U);
}

TEST_CASE("renaming refuses to write over a file") {
  const tests::Folder folder;
  REQUIRE(write_new_file(folder.file("one"), as_bytes("1"), FileMode::shared).ok());
  REQUIRE(write_new_file(folder.file("two"), as_bytes("2"), FileMode::shared).ok());
  const auto taken = rename_new(folder.file("one"), folder.file("two"));
  REQUIRE(!taken.ok());
  CHECK(taken.error().code() == ErrorCode::conflict);
  CHECK_EQ(text_of(folder.file("two")), "2");
  CHECK(rename_new(folder.file("one"), folder.file("three")).ok());
  CHECK(!file_exists(folder.file("one")));
}

TEST_CASE("reading names what is missing too large or no file") {
  const tests::Folder folder;
  REQUIRE(write_new_file(folder.file("ten"), as_bytes("0123456789"), FileMode::shared).ok());
  CHECK(read_file(folder.file("ten"), 10).ok());
  CHECK(read_file(folder.file("ten"), 9).error().code() == ErrorCode::invalid);
  CHECK(read_file(folder.file("none"), 10).error().code() == ErrorCode::missing);
  CHECK(read_file(folder.path(), 10).error().code() == ErrorCode::invalid);
  CHECK(write_new_file(folder.file("no/such/folder"), as_bytes("x"), FileMode::shared).error().code() ==
        ErrorCode::missing);
}
