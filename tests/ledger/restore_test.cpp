// Restoring: nothing but what verifies and belongs to this record, what is lost is declared, and what was forgotten
// stays forgotten.
#include "ledger/restore.h"

#include <unistd.h>

#include <filesystem>

#include "ledger/backup.h"
#include "ledger/base/files.h"
#include "tests/support/signed_ward.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

constexpr const char* now = "2026-10-05T12:00:00+05:00";

std::string opening(const std::string& pack) {
  return R"({"kind":"pack-opened","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":")" + pack + "\"}";
}

std::string backed_up(SignedWard& ward, const std::string& name = "copy") {
  const auto made = make_backup(ward.ledger(), ward.folder().file(name), now);
  REQUIRE_MESSAGE(made.ok(), (made.ok() ? std::string() : made.error().sentence()));
  return ward.folder().file(name);
}

RestoreRequest request_of(SignedWard& ward, const std::string& backup) {
  return {.ledger = ward.path(), .backup = backup, .checkpoints = {}, .erasures = {}, .drives = Drives::own};
}

Restore::Done restored(SignedWard& ward, const RestoreRequest& request, bool with_keys = true) {
  auto restore = Restore::begin(request, ward.clock());
  REQUIRE_MESSAGE(restore.ok(), (restore.ok() ? std::string() : restore.error().sentence()));
  SignerPtr mara;
  if (with_keys) {
    const auto signed_in = restore.value().ledger().unlock("mara", "483920");
    REQUIRE_MESSAGE(signed_in.ok(), (signed_in.ok() ? std::string() : signed_in.error().sentence()));
    mara = signed_in.value();
  }
  const auto done = restore.value().finish(mara, "noor", now);
  REQUIRE_MESSAGE(done.ok(), (done.ok() ? std::string() : done.error().sentence()));
  ward.reopen();
  return done.value();
}

std::string refused(const RestoreRequest& request, SignedWard& ward) {
  const auto restore = Restore::begin(request, ward.clock());
  REQUIRE(!restore.ok());
  return restore.error().sentence();
}

std::string pseudonym_of(WardLedger& ward, std::int64_t seq) {
  return std::string(*ward.entry(seq).text_at("patient"));
}

// The beginning of the file is overwritten: nothing of it can be read.
void destroy_file(const std::string& path) {
  std::string bytes = file_bytes(path);
  std::fill_n(bytes.begin(), 20'000, 'x');
  REQUIRE(replace_file(path, as_bytes(bytes), FileMode::shared).ok());
}

}  // namespace

TEST_CASE("a backup put in place of a newer ledger declares what is lost and the chain goes on") {
  SignedWard ward;
  ward.take(opening("PK-1"));
  const std::string copy = backed_up(ward);
  const std::int64_t size = ward.size() - 1;  // without its backup-made
  ward.take(opening("PK-2"));
  const log::Head later = ward.ledger().tree_head().value();
  const std::string before = file_bytes(ward.path());
  const Restore::Done done = restored(ward, request_of(ward, copy));

  CHECK_EQ(done.seq, size + 1);
  const json::Value event = ward.entry(done.seq);
  CHECK(event.text_at("kind") == "ledger-restored");
  CHECK(event.number_at("size") == static_cast<double>(size));
  CHECK(event.text_at("root") == hex(ward.ledger().tree_head(size).value().root));
  CHECK(event.find("lost_after")->number_at("size") == static_cast<double>(later.size));
  CHECK(event.find("lost_after")->text_at("root") == hex(later.root));
  CHECK(event.text_at("by") == "mara");
  CHECK(event.text_at("second") == "noor");
  CHECK(ward.ledger().second(done.seq).value().second == people::Second::awaiting);
  REQUIRE(ward.ledger().countersign(done.seq, ward.noor()).ok());
  ward.take(opening("PK-3"));
  CHECK(problems(ward.ledger()).empty());
  // What stood there is kept, byte for byte.
  REQUIRE(done.aside);
  CHECK(file_bytes(*done.aside) == before);
  CHECK_EQ(ward.folder().files(), 4U);  // ledger, keys, copy, aside: nothing half-made
}

TEST_CASE("nothing is declared lost when nothing later is known") {
  SignedWard ward;
  const std::string copy = backed_up(ward);
  REQUIRE(::unlink(ward.path().c_str()) == 0);
  const Restore::Done done = restored(ward, request_of(ward, copy));
  CHECK(ward.entry(done.seq).find("lost_after") == nullptr);
  CHECK(!done.aside);
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a checkpoint kept elsewhere declares the loss that the damaged file cannot tell of") {
  SignedWard ward;
  const std::string copy = backed_up(ward);
  ward.take(opening("PK-1"));
  const std::string kept = ward.ledger().sign_checkpoint().value();
  const log::Head later = ward.ledger().tree_head().value();
  destroy_file(ward.path());
  RestoreRequest request = request_of(ward, copy);
  request.checkpoints = {kept};
  const Restore::Done done = restored(ward, request);
  CHECK(ward.entry(done.seq).find("lost_after")->text_at("root") == hex(later.root));
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a backup that tells another history than a kept checkpoint is refused") {
  SignedWard ward;
  const std::string fork = backed_up(ward, "fork");
  ward.take(opening("PK-1"));
  const std::string good = file_bytes(ward.path());
  // The same station goes on from the older copy: another history of the same length and more.
  REQUIRE(replace_file(ward.path(), as_bytes(file_bytes(fork)), FileMode::shared).ok());
  ward.reopen();
  ward.take(opening("PK-7") + "\n" + opening("PK-8") + "\n" + opening("PK-9"));
  const std::string other = backed_up(ward, "other");
  REQUIRE(replace_file(ward.path(), as_bytes(good), FileMode::shared).ok());
  ward.reopen();
  CHECK(holds(refused(request_of(ward, other), ward), "no earlier or later state"));
  const std::string kept = ward.ledger().sign_checkpoint().value();
  destroy_file(ward.path());
  RestoreRequest request = request_of(ward, other);
  request.checkpoints = {kept};
  CHECK(holds(refused(request, ward), "another history"));
  SignedWard stranger;
  request.checkpoints = {stranger.ledger().sign_checkpoint().value()};
  CHECK(holds(refused(request, ward), "not signed by this ledger's key"));
  CHECK_EQ(ward.folder().files(), 4U);
}

TEST_CASE("what does not verify or belongs elsewhere is refused and the ledger stays as it was") {
  SignedWard ward;
  ward.take(opening("PK-1"));
  const std::string copy = backed_up(ward);
  const std::string before = file_bytes(ward.path());
  std::string bytes = file_bytes(copy);
  bytes[bytes.find("PK-1")] = 'Q';
  REQUIRE(write_new_file(ward.folder().file("bad"), as_bytes(bytes), FileMode::shared).ok());
  CHECK(holds(refused(request_of(ward, ward.folder().file("bad")), ward), "does not verify"));
  CHECK(holds(refused(request_of(ward, ward.path()), ward), "ledger itself"));
  CHECK(holds(refused(request_of(ward, ward.folder().file("none")), ward), "no file"));
  CHECK(!refused(request_of(ward, ward.path() + ".keys"), ward).empty());
  SignedWard other;
  CHECK(holds(refused(request_of(ward, backed_up(other)), ward), "belongs to another ledger"));
  CHECK(file_bytes(ward.path()) == before);
  CHECK_EQ(ward.folder().files(), 4U);
}

TEST_CASE("what was erased after the backup is forgotten again before the ledger has its name") {
  SignedWard ward;
  const std::int64_t delivered =
      ward.take(delivery_line("P-1", R"(,"patient":"12-345-678","note":"calm night")") + "\n" +
                delivery_line("P-2", R"(,"patient":"99-999-999","note":"wild night")"));
  const std::string kept_pseudonym = pseudonym_of(ward, delivered);
  const std::int64_t first = delivered - 1;
  const std::string pseudonym = pseudonym_of(ward, first);
  // Asked before the backup, countersigned after it; the text asked for and countersigned after it.
  const std::int64_t asked = ward.ask_patient(pseudonym);
  const std::string copy = backed_up(ward);
  REQUIRE(ward.ledger().countersign(asked, ward.noor()).ok());
  REQUIRE(ward.ledger().countersign(ward.ask_text(first, "/note"), ward.noor()).ok());
  CHECK(holds(file_bytes(copy), "calm night"));

  const auto check_forgotten = [&](const Restore::Done& done) {
    CHECK_EQ(done.repeated, 2);
    CHECK(!ward.ledger().patient_number(pseudonym).value());
    CHECK(ward.ledger().patient_number(kept_pseudonym).value() == "99-999-999");
    CHECK(!holds(file_bytes(ward.path()), "calm night"));
    CHECK(holds(file_bytes(ward.path()), "wild night"));
    CHECK_MESSAGE(problems(ward.ledger()).empty(), joined(problems(ward.ledger())));
    CHECK(ward.entry(done.seq + 1).text_at("kind") == "patient-erased");
    CHECK(ward.entry(done.seq + 2).text_at("kind") == "text-removed");
  };
  SUBCASE("known from the ledger that stands there") {
    std::filesystem::remove(ward.path() + ".erased");
    check_forgotten(restored(ward, request_of(ward, copy)));
    // The proofs are in the record now: the list beside it is not needed to see that it was asked for.
    std::filesystem::remove(ward.path() + ".erased");
    CHECK(problems(ward.ledger()).empty());
  }
  SUBCASE("known from the list beside a ledger that cannot be read") {
    destroy_file(ward.path());
    check_forgotten(restored(ward, request_of(ward, copy)));
  }
  SUBCASE("known from a newer backup") {
    const std::string newer = backed_up(ward, "newer");
    std::filesystem::remove(ward.path() + ".erased");
    std::filesystem::remove(ward.path());
    RestoreRequest request = request_of(ward, copy);
    request.erasures = erasures_in(newer, ward.clock()).value();
    check_forgotten(restored(ward, request));
  }
  SUBCASE("a damaged list stops the restore") {
    const std::string list = file_bytes(ward.path() + ".erased");
    REQUIRE(replace_file(ward.path() + ".erased", as_bytes(list.substr(5)), FileMode::shared).ok());
    CHECK(holds(refused(request_of(ward, copy), ward), "cannot be read"));
  }
}

TEST_CASE("without the key file a backup is put in place for reading only and still forgets") {
  SignedWard ward;
  const std::int64_t delivered = ward.take(delivery_line("P-1", R"(,"patient":"12-345-678","note":"calm night")"));
  const std::string copy = backed_up(ward);
  REQUIRE(ward.ledger().countersign(ward.ask_text(delivered, "/note"), ward.noor()).ok());
  std::filesystem::remove(ward.path() + ".keys");
  const Restore::Done done = restored(ward, request_of(ward, copy), false);
  CHECK_EQ(done.seq, 0);
  CHECK_EQ(done.repeated, 1);
  CHECK(!ward.ledger().writable());
  CHECK(!holds(file_bytes(ward.path()), "calm night"));
  CHECK(problems(ward.ledger()).empty());  // the list beside it proves that two persons asked for it
  std::filesystem::remove(ward.path() + ".erased");
  CHECK_EQ(problems(ward.ledger()).size(), 1U);
}

TEST_CASE("a repeat whose persons the backup does not know stands once the second has countersigned the restore") {
  SignedWard ward;
  const std::int64_t delivered = ward.take(delivery_line("P-1", R"(,"patient":"12-345-678")"));
  const std::string pseudonym = pseudonym_of(ward, delivered);
  const std::string copy = backed_up(ward);
  ward.erase_patient(pseudonym);
  // The list was changed: nothing proves who asked. What may have been asked for is forgotten all the same.
  std::string list = file_bytes(ward.path() + ".erased");
  list.replace(list.find("\"sig\":\"") + 7, 4, "0000");
  REQUIRE(replace_file(ward.path() + ".erased", as_bytes(list), FileMode::shared).ok());
  destroy_file(ward.path());
  const Restore::Done done = restored(ward, request_of(ward, copy));
  CHECK(!ward.ledger().patient_number(pseudonym).value());
  CHECK_EQ(problems(ward.ledger()).size(), 1U);
  REQUIRE(ward.ledger().countersign(done.seq, ward.noor()).ok());
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a journal of the old file goes aside with it and never reaches the new one") {
  SignedWard ward;
  const std::string copy = backed_up(ward);
  ward.take(opening("PK-1"));
  REQUIRE(write_new_file(ward.path() + "-journal", as_bytes("cut off"), FileMode::shared).ok());
  const Restore::Done done = restored(ward, request_of(ward, copy));
  REQUIRE(done.aside);
  CHECK(!file_exists(ward.path() + "-journal"));
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a program that had the old file open cannot write into the new one") {
  SignedWard ward;
  const std::string copy = backed_up(ward);
  ward.take(opening("PK-1"));
  SetClock clock(noon());
  Ledger desk = opened(ward.path(), clock);
  const Restore::Done done = restored(ward, request_of(ward, copy));
  const auto lost = desk.append_lines(opening("PK-2"), {});
  REQUIRE(!lost.ok());
  CHECK(holds(lost.error().sentence(), "moved or replaced"));
  CHECK_EQ(ward.size(), done.seq);
}
