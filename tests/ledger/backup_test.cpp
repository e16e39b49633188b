// Backups: whole, verified, recorded, without keys, never over anything but an older state of the same record.
#include "ledger/backup.h"

#include <atomic>
#include <chrono>
#include <filesystem>
#include <thread>

#include "ledger/base/files.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

constexpr const char* now = "2026-10-05T12:00:00+05:00";

std::string opening(const std::string& pack) {
  return R"({"kind":"pack-opened","at":"2026-10-05T09:00:00+05:00","by":"ana","note":"calm night","pack":")" + pack +
         "\"}";
}

Ledger copy_at(WardLedger& ward, const std::string& path) {
  auto copy = Ledger::open_with(path, *ward.ledger().keys(), ward.clock(), store::Access::read);
  REQUIRE(copy.ok());
  return std::move(copy).value();
}

}  // namespace

TEST_CASE("a backup holds the record as it was and is recorded after it") {
  WardLedger ward;
  ward.take(opening("PK-1"));
  const auto made = make_backup(ward.ledger(), ward.folder().file("copy"), now);
  REQUIRE(made.ok());
  CHECK_EQ(made.value().size, 6);
  CHECK_EQ(made.value().seq, 7);
  const json::Value event = ward.entry(7);
  CHECK(event.text_at("kind") == "backup-made");
  CHECK(event.number_at("size") == 6.0);
  CHECK(event.text_at("root") == hex(ward.ledger().tree_head(6).value().root));
  CHECK(event.text_at("where") == ward.folder().file("copy"));
  Ledger copy = copy_at(ward, ward.folder().file("copy"));
  CHECK_EQ(copy.head().value().seq, 6);
  CHECK(problems(copy).empty());
  CHECK(problems(ward.ledger()).empty());
  const auto mode = std::filesystem::status(ward.folder().file("copy")).permissions();
  CHECK((mode & std::filesystem::perms::others_all) == std::filesystem::perms::none);
  CHECK_EQ(ward.folder().files(), 3U);  // ledger, keys, copy: nothing half-made
}

TEST_CASE("no secret of the key file stands in a backup") {
  WardLedger ward;
  ward.take(
      R"({"kind":"procedure-done","at":"2026-10-05T09:00:00+05:00","by":"ana","procedure":"P-1","sort":"delivery",)"
      R"("place":"room","packs":[],"patient":"12-345-678"})");
  REQUIRE(make_backup(ward.ledger(), ward.folder().file("copy"), now).ok());
  const std::string bytes = file_bytes(ward.folder().file("copy"));
  const people::KeyFile& keys = *ward.ledger().keys();
  for (const Digest& secret :
       {keys.station_key.seed(), keys.ledger_key.seed(), keys.lookup_secret, keys.sealing_secret, keys.mark_secret}) {
    CHECK(!holds(bytes, as_text(secret)));
    CHECK(!holds(bytes, hex(secret)));
  }
  CHECK(!holds(bytes, "12-345-678"));
  CHECK(holds(bytes, hex(keys.station_key.public_key())));  // the test looks where it should
}

TEST_CASE("an older copy of the same record is replaced and nothing else is") {
  WardLedger ward;
  const std::string file = ward.folder().file("copy");
  ward.take(opening("PK-1"));
  REQUIRE(make_backup(ward.ledger(), file, now).ok());
  ward.take(opening("PK-2"));
  REQUIRE(make_backup(ward.ledger(), file, now).ok());
  CHECK_EQ(copy_at(ward, file).head().value().seq, 8);

  WardLedger other;
  const auto foreign = make_backup(other.ledger(), file, now);
  REQUIRE(!foreign.ok());
  CHECK(foreign.error().code() == ErrorCode::invalid);
  const auto itself = make_backup(ward.ledger(), ward.path(), now);
  REQUIRE(!itself.ok());
  CHECK(holds(itself.error().sentence(), "ledger itself"));
  CHECK(!make_backup(ward.ledger(), ward.path() + ".keys", now).ok());
  CHECK(!make_backup(ward.ledger(), ward.folder().path(), now).ok());
  CHECK(!make_backup(ward.ledger(), ward.folder().file("no/such/folder"), now).ok());

  // A ledger that was put back to an older state does not replace a newer copy of itself.
  const std::string older = ward.folder().file("older");
  REQUIRE(make_backup(ward.ledger(), older, now).ok());
  ward.take(opening("PK-3"));
  REQUIRE(make_backup(ward.ledger(), file, now).ok());
  const std::string newest = file_bytes(file);
  REQUIRE(replace_file(ward.path(), as_bytes(file_bytes(older)), FileMode::shared).ok());
  ward.reopen();
  CHECK(!make_backup(ward.ledger(), file, now).ok());
  ward.take(opening("PK-4") + "\n" + opening("PK-5") + "\n" + opening("PK-6") + "\n" + opening("PK-7"));
  CHECK(!make_backup(ward.ledger(), file, now).ok());  // longer, but another history
  CHECK(file_bytes(file) == newest);
}

TEST_CASE("a ledger that does not verify gives no backup and leaves nothing behind") {
  WardLedger ward;
  ward.take(opening("PK-1"));
  REQUIRE(ward.ledger().file().database().run("UPDATE texts SET text = 'wild night'").ok());
  const auto made = make_backup(ward.ledger(), ward.folder().file("copy"), now);
  REQUIRE(!made.ok());
  CHECK(made.error().code() == ErrorCode::corrupt);
  CHECK_EQ(ward.folder().files(), 2U);
  CHECK_EQ(ward.size(), 6);
}

TEST_CASE("others record while backups are made and each backup is a whole state") {
  WardLedger ward;
  ward.take(opening("PK-0"));
  std::atomic<bool> done = false;
  std::atomic<int> written = 0;
  std::thread recorder([&] {
    SetClock clock(noon());
    Ledger other = opened(ward.path(), clock);
    while (!done) {
      const std::string one = std::to_string(++written);
      if (!other.append_lines(opening("PK-" + one) + "\n" + opening("PL-" + one), {}).ok()) --written;
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
  });
  for (int i = 0; i < 4; ++i) {
    const std::string file = ward.folder().file("copy-" + std::to_string(i));
    const auto made = make_backup(ward.ledger(), file, now);
    INFO((made.ok() ? std::string() : made.error().sentence()));
    CHECK(made.ok());
    if (made.ok()) CHECK_EQ(copy_at(ward, file).head().value().seq, made.value().size);
  }
  done = true;
  recorder.join();
  CHECK(written > 0);
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("without its key file a ledger is copied and the copy is not recorded") {
  WardLedger ward;
  ward.take(opening("PK-1"));
  std::filesystem::remove(ward.path() + ".keys");
  ward.reopen();
  const auto made = make_backup(ward.ledger(), ward.folder().file("copy"), now);
  REQUIRE(made.ok());
  CHECK_EQ(made.value().seq, 0);
  CHECK_EQ(ward.size(), 6);
}
