// Making and opening a ledger.
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "ledger/base/files.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

// Nobody: a user who may write nothing here. Permissions do not bind root, under whom containers run tests.
constexpr ::uid_t nobody = 65534;

// Runs `work` as a user for whom permissions hold, in a child; true when it returned true.
bool as_common_user(const std::function<bool()>& work) {
  const ::pid_t child = ::fork();
  if (child == 0) {
    const bool lowered = ::geteuid() != 0 || (::setgid(nobody) == 0 && ::setuid(nobody) == 0);
    ::_exit(lowered && work() ? 0 : 1);
  }
  int status = 0;
  REQUIRE(::waitpid(child, &status, 0) == child);
  return WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

}  // namespace

TEST_CASE("a new ledger begins with its own keys and the place and the rules") {
  WardLedger ward;
  const char* kinds[] = {"ledger-opened", "key-added", "key-added", "facility-described", "sop-adopted"};
  CHECK_EQ(ward.size(), 5);
  for (std::int64_t seq = 1; seq <= 5; ++seq) {
    const json::Value entry = ward.entry(seq);
    CHECK(entry.text_at("kind") == kinds[seq - 1]);
    CHECK(entry.text_at("by") == "station-1");
    CHECK(entry.text_at("station") == "station-1");
    CHECK(entry.number_at("seq") == static_cast<double>(seq));
    CHECK(entry.number_at("v") == 1.0);
    CHECK(entry.text_at("recorded") == "2026-10-05T07:00:00.000Z");
  }
  const json::Value opened = ward.entry(1);
  const std::string ledger(*opened.text_at("ledger"));
  CHECK(is_hex(ledger, 16));
  CHECK(opened.text_at("prev") == std::string(64, '0'));
  CHECK(opened.text_at("origin") == "trayproof/" + ledger);
  CHECK(ward.entry(2).text_at("public") == opened.text_at("key"));
  CHECK(ward.entry(2).text_at("sort") == "station");
  CHECK(ward.entry(3).text_at("public") == opened.text_at("ledger_key"));
  CHECK(ward.entry(3).text_at("sort") == "ledger");
  CHECK(ward.entry(3).text_at("owner") == "trayproof/" + ledger);
  CHECK(ward.entry(4).text_at("at") == "2026-10-05T12:00:00+05:00");
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("create leaves the ledger and its key file and nothing else") {
  const WardLedger ward;
  CHECK_EQ(ward.folder().files(), 2U);
  struct stat info {};
  REQUIRE(::stat((ward.path() + ".keys").c_str(), &info) == 0);
  CHECK_EQ(info.st_mode & 0777U, 0600U);
}

TEST_CASE("create never writes over a ledger or a key file") {
  WardLedger ward;
  const std::string ledger = file_bytes(ward.path());
  const std::string keys = file_bytes(ward.path() + ".keys");
  const auto again = Ledger::create(ward.path(), creation(), ward.clock());
  REQUIRE(!again.ok());
  CHECK(again.error().code() == ErrorCode::conflict);
  CHECK_EQ(file_bytes(ward.path()), ledger);
  CHECK_EQ(file_bytes(ward.path() + ".keys"), keys);
  const std::string other = ward.folder().file("other");
  REQUIRE(write_new_file(other + ".keys", as_bytes("mine"), FileMode::owner_only).ok());
  const auto keyed = Ledger::create(other, creation(), ward.clock());
  REQUIRE(!keyed.ok());
  CHECK(keyed.error().code() == ErrorCode::conflict);
  CHECK_EQ(file_bytes(other + ".keys"), "mine");
  CHECK(!file_exists(other));
}

TEST_CASE("a refused create names the field and leaves nothing behind") {
  const Folder folder;
  SetClock clock(noon());
  const auto refused = [&](const Creation& given) {
    const auto made = Ledger::create(folder.file("a"), given, clock);
    REQUIRE(!made.ok());
    CHECK(made.error().code() == ErrorCode::invalid);
    CHECK_EQ(folder.files(), 0U);
    return made.error().sentence();
  };
  Creation given = creation();
  given.zone = "Nowhere/At-All";
  CHECK(holds(refused(given), "zone"));
  given = creation();
  given.title = "two\nlines";
  CHECK(holds(refused(given), "title"));
  given = creation();
  given.sop_toml = "[sop\n";
  CHECK(holds(refused(given), "toml"));
  given = creation();
  given.station = "no id";
  CHECK(holds(refused(given), "by"));
}

TEST_CASE("create in a folder that is missing or closed leaves nothing behind") {
  const Folder folder;
  SetClock clock(noon());
  CHECK(!Ledger::create(folder.file("none/a"), creation(), clock).ok());
  CHECK_EQ(folder.files(), 0U);
  REQUIRE(::chmod(folder.path().c_str(), 0555) == 0);
  CHECK(as_common_user([&] { return !Ledger::create(folder.file("a"), creation(), clock).ok(); }));
  REQUIRE(::chmod(folder.path().c_str(), 0755) == 0);
  CHECK_EQ(folder.files(), 0U);
}

TEST_CASE("two ledgers of one creation share no key and no id") {
  WardLedger one;
  WardLedger two;
  CHECK(one.ledger().ledger_id() != two.ledger().ledger_id());
  CHECK(one.entry(2).text_at("public") != two.entry(2).text_at("public"));
  CHECK(one.entry(3).text_at("public") != two.entry(3).text_at("public"));
}

TEST_CASE("an altitude that is not given is unknown and not zero") {
  const Folder folder;
  SetClock clock(noon());
  Creation given = creation();
  given.altitude_m.reset();
  auto ledger = Ledger::create(folder.file("a"), given, clock);
  REQUIRE(ledger.ok());
  const json::Value facility = event_of(ledger.value().entry(4).value().bytes);
  CHECK(facility.find("altitude_m") == nullptr);
  CHECK(facility.find("unknown")->text_at("altitude_m") == "not-recorded");
}

TEST_CASE("without its key file a ledger reads and verifies and takes nothing") {
  WardLedger ward;
  ward.take(
      R"({"kind":"procedure-done","at":"2026-10-05T09:00+05:00","by":"ana","procedure":"P-1","patient":"12-345-678",)"
      R"("sort":"delivery","place":"room","packs":[],"note":"calm night"})");
  const std::string pseudonym(*ward.entry(first_seq).text_at("patient"));
  REQUIRE(::rename((ward.path() + ".keys").c_str(), ward.folder().file("elsewhere").c_str()) == 0);
  Ledger ledger = opened(ward.path(), ward.clock());
  CHECK(!ledger.writable());
  CHECK_EQ(ledger.head().value().seq, first_seq);
  CHECK_EQ(ledger.station(), "station-1");
  CHECK(problems(ledger).empty());
  CHECK(ledger.patient_number(pseudonym).error().code() == ErrorCode::denied);
  CHECK(ledger.append_lines(R"({"kind":"person-left","at":"2026-10-05T09:00Z","by":"ana","person":"ana"})", {})
            .error()
            .code() == ErrorCode::unavailable);
  CHECK(ledger.sign_checkpoint().error().code() == ErrorCode::unavailable);
  CHECK(ledger.attach(as_bytes("x")).error().code() == ErrorCode::unavailable);
  CHECK_EQ(ledger.head().value().seq, first_seq);
}

TEST_CASE("a key file that others may read keeps the ledger closed") {
  WardLedger ward;
  REQUIRE(::chmod((ward.path() + ".keys").c_str(), 0644) == 0);
  const auto ledger = Ledger::open(ward.path(), ward.clock());
  REQUIRE(!ledger.ok());
  CHECK(ledger.error().code() == ErrorCode::denied);
  CHECK(holds(ledger.error().sentence(), "0600"));
}

TEST_CASE("the key file of another ledger is refused") {
  WardLedger one;
  WardLedger two;
  REQUIRE(::rename((two.path() + ".keys").c_str(), (one.path() + ".keys").c_str()) == 0);
  const auto ledger = Ledger::open(one.path(), one.clock());
  REQUIRE(!ledger.ok());
  CHECK(ledger.error().code() == ErrorCode::conflict);
}

TEST_CASE("a ledger opened for reading takes nothing and changes no byte") {
  WardLedger ward;
  const std::string before = file_bytes(ward.path());
  Ledger ledger = opened(ward.path(), ward.clock(), store::Access::read);
  CHECK(!ledger.writable());
  CHECK(problems(ledger).empty());
  CHECK(!ledger.append_lines(R"({"kind":"person-left","at":"2026-10-05T09:00Z","by":"ana","person":"ana"})", {}).ok());
  CHECK_EQ(file_bytes(ward.path()), before);
}

TEST_CASE("a missing ledger is not made by opening it") {
  const Folder folder;
  SetClock clock(noon());
  const auto ledger = Ledger::open(folder.file("none"), clock);
  REQUIRE(!ledger.ok());
  CHECK(ledger.error().code() == ErrorCode::missing);
  CHECK_EQ(folder.files(), 0U);
}

TEST_CASE("in a folder where nothing may be written a ledger reads and verifies and says why it takes nothing") {
  WardLedger ward;
  REQUIRE(::chmod(ward.folder().path().c_str(), 0555) == 0);
  REQUIRE(::chmod(ward.path().c_str(), 0444) == 0);
  REQUIRE(::unlink((ward.path() + ".keys").c_str()) == 0);
  const bool reads = as_common_user([&] {
    Ledger ledger = opened(ward.path(), ward.clock());
    return !ledger.writable() && ledger.head().value().seq == 5 && problems(ledger).empty() &&
           !ledger.sign_checkpoint().ok();
  });
  CHECK(reads);
  REQUIRE(::chmod(ward.folder().path().c_str(), 0755) == 0);
}

TEST_CASE("with its key file in a folder where nothing may be written an append is refused and verify still runs") {
  WardLedger ward;
  if (::geteuid() == 0) {
    REQUIRE(::chown((ward.path() + ".keys").c_str(), nobody, nobody) == 0);
    REQUIRE(::chown(ward.path().c_str(), nobody, nobody) == 0);
    REQUIRE(::chown(ward.folder().path().c_str(), nobody, nobody) == 0);
  }
  REQUIRE(::chmod(ward.path().c_str(), 0444) == 0);
  REQUIRE(::chmod(ward.folder().path().c_str(), 0555) == 0);
  const std::string before = file_bytes(ward.path());
  const bool holds_back = as_common_user([&] {
    auto ledger = Ledger::open(ward.path(), ward.clock());
    if (!ledger.ok()) return false;
    const auto done =
        ledger.value().append_lines(R"({"kind":"person-left","at":"2026-10-05T09:00Z","by":"ana","person":"ana"})", {});
    return !done.ok() && done.error().code() == ErrorCode::unavailable && ledger.value().head().value().seq == 5;
  });
  CHECK(holds_back);
  const bool verifies = as_common_user([&] {
    Ledger ledger = opened(ward.path(), ward.clock());
    return problems(ledger).empty();
  });
  CHECK(verifies);
  REQUIRE(::chmod(ward.folder().path().c_str(), 0755) == 0);
  CHECK_EQ(file_bytes(ward.path()), before);
}
