// No room left: the append fails with a clear error, nothing stays by halves, and with room again the next one works.
#include <signal.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fstream>
#include <random>

#include "ledger/base/files.h"
#include "ledger/links/links.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

std::string remarks(int count, int from) {
  std::string lines;
  for (int i = from; i < from + count; ++i) {
    lines += R"({"kind":"remarked","at":"2026-10-05T09:00:00+05:00","by":"ana","subject":{"kind":"line","id":")" +
             std::to_string(i) + R"("},"text":")" + std::string(1500, 'x') + "\"}\n";
  }
  return lines;
}

void limit_files_to(::rlim_t bytes) {
  struct ::rlimit limit {};
  REQUIRE(::getrlimit(RLIMIT_FSIZE, &limit) == 0);
  limit.rlim_cur = bytes == 0 ? limit.rlim_max : bytes;
  REQUIRE(::setrlimit(RLIMIT_FSIZE, &limit) == 0);
}

// A file system of 512 KiB in memory; none where the machine does not allow to mount one.
class SmallDisk {
 public:
  SmallDisk() { mounted_ = ::mount("tmpfs", folder_.path().c_str(), "tmpfs", 0, "size=512k") == 0; }
  ~SmallDisk() {
    if (mounted_) ::umount(folder_.path().c_str());
  }
  SmallDisk(const SmallDisk&) = delete;
  SmallDisk& operator=(const SmallDisk&) = delete;
  bool mounted() const { return mounted_; }
  const Folder& folder() const { return folder_; }

 private:
  Folder folder_;
  bool mounted_ = false;
};

}  // namespace

// A limit on the size of files makes writes fail in the middle, as a quota does; SIGXFSZ would kill the program
// instead.
TEST_CASE("an append that the file may not grow for fails whole and works when it may") {
  ::signal(SIGXFSZ, SIG_IGN);
  WardLedger ward;
  ward.take(remarks(10, 0));
  const std::int64_t size = ward.size();
  limit_files_to(file_bytes(ward.path()).size() + 20'000);
  auto refused = ward.ledger().append_lines(remarks(200, 100), {});
  REQUIRE(!refused.ok());
  INFO(refused.error().sentence());
  CHECK(!refused.error().sentence().empty());
  CHECK((refused.error().code() == ErrorCode::unavailable || refused.error().code() == ErrorCode::uncertain));
  if (refused.error().code() == ErrorCode::uncertain) {
    // The handle says so until the ledger is opened again.
    CHECK(ward.ledger().append_lines(remarks(1, 900), {}).error().code() == ErrorCode::uncertain);
    CHECK(!ward.ledger().writable());
  }
  limit_files_to(0);
  ward.reopen();
  CHECK_EQ(ward.size(), size);
  CHECK(problems(ward.ledger()).empty());
  ward.take(remarks(200, 100));
  CHECK_EQ(ward.size(), size + 200);
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("on a full disk an append fails with a sentence and the next one works when there is room") {
  const SmallDisk disk;
  if (!disk.mounted()) {
    MESSAGE("no small file system could be mounted here: not run");
    return;
  }
  SetClock clock(noon());
  auto ledger = Ledger::create(disk.folder().file("ward"), creation(), clock);
  REQUIRE(ledger.ok());
  const std::string ballast = disk.folder().file("ballast");
  { std::ofstream(ballast, std::ios::binary) << std::string(200 * 1024, 'b'); }
  std::int64_t taken = 0;
  Result<Appended> last = Appended{};
  for (int i = 0; i < 1000; ++i) {
    last = ledger.value().append_lines(remarks(10, i * 10), {});
    if (!last.ok()) break;
    taken += 10;
  }
  REQUIRE(!last.ok());
  INFO(last.error().sentence());
  CHECK(last.error().code() == ErrorCode::unavailable);
  CHECK(holds(last.error().sentence(), "disk is full"));
  CHECK(taken > 0);
  CHECK_EQ(ledger.value().head().value().seq, 5 + taken);
  CHECK(problems(ledger.value()).empty());
  REQUIRE(::unlink(ballast.c_str()) == 0);
  const auto again = ledger.value().append_lines(remarks(10, 50'000), {});
  REQUIRE(again.ok());
  CHECK_EQ(again.value().taken, 10);
  CHECK(problems(ledger.value()).empty());
}

TEST_CASE("on a full disk an attachment is refused whole and derived tables stand in memory") {
  const SmallDisk disk;
  if (!disk.mounted()) {
    MESSAGE("no small file system could be mounted here: not run");
    return;
  }
  SetClock clock(noon());
  auto ledger = Ledger::create(disk.folder().file("ward"), creation(), clock);
  REQUIRE(ledger.ok());
  REQUIRE(ledger.value().append_lines(remarks(10, 0), {}).ok());
  std::mt19937_64 noise(1);
  Bytes bytes(500 * 1024);
  for (auto& byte : bytes) byte = static_cast<std::uint8_t>(noise() & 0xFF);
  const auto refused = ledger.value().attach(bytes);
  REQUIRE(!refused.ok());
  CHECK_MESSAGE(holds(refused.error().sentence(), "disk is full"), refused.error().sentence());
  CHECK(ledger.value().writable());
  CHECK(ledger.value().file().attachments().value().empty());
  const std::string ballast = disk.folder().file("ballast");
  { std::ofstream(ballast, std::ios::binary) << std::string(512 * 1024, 'b'); }
  auto links = links::Links::open(ledger.value());
  REQUIRE(links.ok());
  CHECK(links.value().in_memory());
  CHECK_EQ(links.value().known_at(), 15);
  CHECK(!links.value().same_as_fresh().value());
  CHECK(!ledger.value().sign_checkpoint().ok());
  REQUIRE(::unlink(ballast.c_str()) == 0);
  bytes.resize(50 * 1024);
  CHECK(ledger.value().attach(bytes).ok());
  CHECK(ledger.value().sign_checkpoint().ok());
  CHECK(problems(ledger.value()).empty());
}

TEST_CASE("a create without room leaves nothing behind") {
  const SmallDisk disk;
  if (!disk.mounted()) {
    MESSAGE("no small file system could be mounted here: not run");
    return;
  }
  const std::string ballast = disk.folder().file("ballast");
  for (std::size_t free_bytes = 0; free_bytes < 120 * 1024; free_bytes += 8 * 1024) {
    { std::ofstream(ballast, std::ios::binary | std::ios::trunc) << std::string(512 * 1024 - free_bytes, 'b'); }
    SetClock clock(noon());
    const std::string path = disk.folder().file("ward");
    const auto made = Ledger::create(path, creation(), clock);
    INFO(free_bytes, " bytes free");
    if (made.ok()) {
      CHECK_EQ(disk.folder().files(), 3U);
      CHECK(::unlink(path.c_str()) == 0);
      CHECK(::unlink((path + ".keys").c_str()) == 0);
    } else {
      CHECK_EQ(disk.folder().files(), 1U);
    }
  }
}
