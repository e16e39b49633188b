// Where a ledger may lie: on a medium that is read only, in a folder that may not be written, without permission, moved
// or replaced while it is open; and derived tables that are damaged, foreign or out of reach. Answers stay right, or it
// is told plainly why there is none.
#include <sys/mount.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <filesystem>
#include <fstream>

#include "ledger/links/links.h"
#include "tests/crash/program.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

namespace fs = std::filesystem;
constexpr ::uid_t nobody = 65534;

// Somebody who is not root, so that permissions mean something. In the tests of a user who is not root: that user.
class AsNobody {
 public:
  explicit AsNobody(const MemoryFolder& folder) {
    if (::geteuid() != 0) return;
    for (const auto& one : fs::directory_iterator(folder.path())) give(one.path());
    give(folder.path());
    changed_ = ::seteuid(nobody) == 0;
  }
  ~AsNobody() {
    if (changed_ && ::seteuid(0) != 0) ::trayproof::check_failed("seteuid", __FILE__, __LINE__);
  }
  AsNobody(const AsNobody&) = delete;
  AsNobody& operator=(const AsNobody&) = delete;

 private:
  static void give(const fs::path& path) {
    if (::chown(path.c_str(), nobody, nobody) != 0) ::trayproof::check_failed("chown", __FILE__, __LINE__);
  }
  bool changed_ = false;
};

std::string one_line(const std::string& subject = "x") {
  return R"({"kind":"remarked","at":"2026-10-05T09:00:00+05:00","by":"ana","subject":{"kind":"line","id":")" + subject +
         R"("},"text":"y"})";
}

// The ledger of the morning, closed.
void live_in(const MemoryFolder& folder) {
  SetClock clock(noon());
  auto ledger = Ledger::create(folder.file("ward"), creation(), clock);
  REQUIRE(ledger.ok());
  for (const Step& step : morning()) REQUIRE(step.act(ledger.value(), clock).ok());
}

// The files of a ledger that was being written when the program died: the journal is there, the commit is not.
Files cut_off(const MemoryFolder& folder) {
  Files files;
  SetClock clock(noon());
  Ledger ledger = opened(folder.file("ward"), clock);
  // Pages go to the file before the commit when they do not fit the cache.
  REQUIRE(ledger.file().database().run("PRAGMA cache_size = 5").ok());
  REQUIRE(ledger.file().database().begin().ok());
  for (int i = 0; i < 400; ++i)
    REQUIRE(ledger.file()
                .put_introduction("pack", "P" + std::to_string(i), {.origin = 1, .detail = std::string(60, 'd')})
                .ok());
  files = files_in(folder.path());
  ledger.file().database().roll_back();
  REQUIRE(files.contains("ward-journal"));
  return files;
}

std::string sentence_of(const Result<Appended>& done) {
  return done.ok() ? std::string("taken") : done.error().sentence();
}

bool read_only_again(const std::string& folder) {
  return ::mount("tmpfs", folder.c_str(), "tmpfs", MS_REMOUNT | MS_RDONLY, nullptr) == 0;
}

}  // namespace

TEST_CASE("in a folder that may not be written a ledger is read and verified and says what it cannot take") {
  const MemoryFolder folder;
  live_in(folder);
  REQUIRE(fs::remove(folder.file("ward.links")));
  REQUIRE(::chmod(folder.path().c_str(), 0555) == 0);
  const AsNobody nobody_now(folder);
  SetClock clock(noon());
  Ledger ledger = opened(folder.file("ward"), clock);
  CHECK_EQ(fault_of(ledger), "");
  auto links = links::Links::open(ledger);
  REQUIRE(links.ok());
  CHECK(links.value().in_memory());
  CHECK(!links.value().same_as_fresh().value());
  const auto refused = ledger.append_lines(one_line(), {});
  REQUIRE(!refused.ok());
  CHECK(refused.error().code() == ErrorCode::denied);
  CHECK_MESSAGE(holds(refused.error().sentence(), "folder"), refused.error().sentence());
}

TEST_CASE("a ledger that may not be written or read at all says so") {
  const MemoryFolder folder;
  live_in(folder);
  REQUIRE(::chmod(folder.file("ward").c_str(), 0444) == 0);
  const AsNobody nobody_now(folder);
  SetClock clock(noon());
  {
    Ledger ledger = opened(folder.file("ward"), clock);
    CHECK(!ledger.writable());
    CHECK(holds(sentence_of(ledger.append_lines(one_line(), {})), "cannot be written"));
    CHECK_EQ(fault_of(ledger), "");
  }
  REQUIRE(::chmod(folder.file("ward").c_str(), 0) == 0);
  const auto unreadable = Ledger::open(folder.file("ward"), clock);
  REQUIRE(!unreadable.ok());
  CHECK_MESSAGE(holds(unreadable.error().sentence(), "Permission denied"), unreadable.error().sentence());
  REQUIRE(::chmod(folder.file("ward").c_str(), 0644) == 0);
  REQUIRE(::chmod(folder.file("ward.keys").c_str(), 0) == 0);
  const auto keyless = Ledger::open(folder.file("ward"), clock);
  REQUIRE(!keyless.ok());
  CHECK_MESSAGE(holds(keyless.error().sentence(), "ward.keys: Permission denied"), keyless.error().sentence());
}

TEST_CASE("what was cut off is undone when the ledger is next asked even by a command that only reads") {
  const MemoryFolder folder;
  live_in(folder);
  SetClock clock(noon());
  Standing before;
  {
    Ledger ledger = opened(folder.file("ward"), clock);
    before = standing_of(ledger).value();
  }
  put_files(folder.path(), cut_off(folder));
  Ledger ledger = opened(folder.file("ward"), clock, store::Access::read);
  CHECK(standing_of(ledger).value() == before);
  CHECK_EQ(fault_of(ledger), "");
  CHECK(!fs::exists(folder.file("ward-journal")));
}

TEST_CASE("on a medium that is read only a ledger is read and what was cut off there is told") {
  const MemoryFolder source;
  live_in(source);
  const Files whole = files_in(source.path());
  const Files interrupted = cut_off(source);
  const MemoryFolder folder;
  if (::mount("tmpfs", folder.path().c_str(), "tmpfs", 0, "size=8m") != 0) {
    MESSAGE("nothing can be mounted here: not run");
    return;
  }
  SetClock clock(noon());
  put_files(folder.path(), whole);
  REQUIRE(read_only_again(folder.path()));
  {
    Ledger ledger = opened(folder.file("ward"), clock);
    CHECK(!ledger.writable());
    CHECK_EQ(fault_of(ledger), "");
    CHECK(holds(sentence_of(ledger.append_lines(one_line(), {})), "cannot be written"));
    auto links = links::Links::open(ledger);
    REQUIRE(links.ok());
    CHECK(!links.value().same_as_fresh().value());
  }
  REQUIRE(::mount("tmpfs", folder.path().c_str(), "tmpfs", MS_REMOUNT, nullptr) == 0);
  put_files(folder.path(), interrupted);
  REQUIRE(read_only_again(folder.path()));
  for (const store::Access access : {store::Access::read, store::Access::write}) {
    const auto ledger = Ledger::open(folder.file("ward"), clock, access);
    REQUIRE(!ledger.ok());
    CHECK_MESSAGE(holds(ledger.error().sentence(), "a write was cut off"), ledger.error().sentence());
  }
  CHECK(::umount(folder.path().c_str()) == 0);
}

TEST_CASE("a ledger that was moved away or replaced while it was open neither answers nor takes anything") {
  const MemoryFolder folder;
  live_in(folder);
  SetClock clock(noon());
  Ledger ledger = opened(folder.file("ward"), clock);
  auto links = links::Links::open(ledger);
  REQUIRE(links.ok());
  const std::string bytes = file_bytes(folder.file("ward"));
  fs::rename(folder.file("ward"), folder.file("elsewhere"));
  CHECK(holds(sentence_of(ledger.append_lines(one_line(), {})), "moved or replaced"));
  std::ofstream(folder.file("ward"), std::ios::binary) << bytes;
  CHECK(holds(sentence_of(ledger.append_lines(one_line(), {})), "moved or replaced"));
  CHECK(!ledger.head().ok());
  CHECK(!links.value().catch_up().ok());
  CHECK(!ledger.attach(as_bytes("a file")).ok());
  CHECK(!ledger.sign_checkpoint().ok());
  Ledger again = opened(folder.file("ward"), clock);
  CHECK(again.append_lines(one_line(), {}).ok());
  CHECK_EQ(fault_of(again), "");
}

TEST_CASE("derived tables removed while they are open are derived again") {
  const MemoryFolder folder;
  live_in(folder);
  SetClock clock(noon());
  Ledger ledger = opened(folder.file("ward"), clock);
  auto links = links::Links::open(ledger);
  REQUIRE(links.ok());
  REQUIRE(fs::remove(folder.file("ward.links")));
  REQUIRE(ledger.append_lines(one_line(), {}).ok());
  REQUIRE(links.value().catch_up().ok());
  CHECK(!links.value().in_memory());
  CHECK_EQ(links.value().known_at(), ledger.head().value().seq);
  CHECK(!links.value().same_as_fresh().value());
  CHECK(fs::exists(folder.file("ward.links")));
  CHECK(!fs::exists(folder.file("ward.links-journal")));
}

TEST_CASE("derived tables that are no tables are thrown away and derived again") {
  const MemoryFolder folder;
  live_in(folder);
  SetClock clock(noon());
  Ledger ledger = opened(folder.file("ward"), clock);
  const std::string whole = file_bytes(folder.file("ward.links"));
  const MemoryFolder other;
  live_in(other);
  const std::vector<std::string> files = {"",
                                          "x",
                                          std::string(5000, '\0'),
                                          std::string(70'000, 'r'),
                                          whole.substr(0, 100),
                                          whole.substr(0, 4096),
                                          whole.substr(0, whole.size() / 2),
                                          whole.substr(0, whole.size() - 1),
                                          "junk" + whole,
                                          file_bytes(other.file("ward.links")),
                                          file_bytes(folder.file("ward"))};
  for (std::size_t i = 0; i < files.size(); ++i) {
    INFO("file ", i);
    std::ofstream(folder.file("ward.links"), std::ios::binary | std::ios::trunc) << files[i];
    CHECK_EQ(fault_of_tables(ledger), "");
  }
  // Something that cannot be thrown away: the answers stand in memory.
  REQUIRE(fs::remove(folder.file("ward.links")));
  REQUIRE(fs::create_directory(folder.file("ward.links")));
  auto links = links::Links::open(ledger);
  REQUIRE(links.ok());
  CHECK(links.value().in_memory());
  CHECK(!links.value().same_as_fresh().value());
}

TEST_CASE("a damaged page of the derived tables is told of or derived again and rebuild always mends") {
  const MemoryFolder folder;
  live_in(folder);
  SetClock clock(noon());
  Ledger ledger = opened(folder.file("ward"), clock);
  const std::string whole = file_bytes(folder.file("ward.links"));
  std::size_t seen_at_once = 0;
  std::size_t told_by_verify = 0;
  std::size_t told_when_read = 0;
  for (std::size_t page = 0; page * 4096 < whole.size(); ++page) {
    // In turn: the head of the page, its cells, the middle.
    const std::size_t at = std::array<std::size_t, 4>{0, 3, 8, 4000}[page % 4];
    INFO("page ", page, ", byte ", at);
    std::string damaged = whole;
    for (std::size_t i = 0; i < 24; ++i) damaged[page * 4096 + at + i] = static_cast<char>(0xA5);
    std::ofstream(folder.file("ward.links"), std::ios::binary | std::ios::trunc) << damaged;
    auto links = links::Links::open(ledger);
    REQUIRE_MESSAGE(links.ok(), (links.ok() ? "" : links.error().sentence()));
    const auto difference = links.value().same_as_fresh();
    if (!difference.ok()) {
      ++told_when_read;
      CHECK(difference.error().code() == ErrorCode::corrupt);
      CHECK_MESSAGE(holds(difference.error().sentence(), "rebuild"), difference.error().sentence());
    } else {
      ++(difference.value() ? told_by_verify : seen_at_once);
    }
    const auto rebuilt = links.value().rebuild();
    CHECK_MESSAGE(rebuilt.ok(), (rebuilt.ok() ? "" : rebuilt.error().sentence()));
    CHECK(!links.value().in_memory());
    CHECK_EQ(fault_of_tables(ledger), "");
  }
  MESSAGE(seen_at_once, " damages without effect or derived again at once, ", told_by_verify, " found by comparing, ",
          told_when_read, " told when read");
  CHECK(told_when_read + told_by_verify > 0);
}
