// Keys rotated, lost and stolen: the old record stays as good as it was, and verify names what can no longer be
// trusted.
#include "ledger/base/files.h"
#include "ledger/persons.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

using SignerPtr = std::shared_ptr<const people::Signer>;

std::int64_t open_pack(WardLedger& ward, const std::string& pack) {
  return ward.take(R"({"kind":"pack-opened","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":")" + pack + "\"}");
}

DateTime now(WardLedger& ward) { return {ward.clock().now(), 0}; }

SignerPtr with_key(WardLedger& ward, const std::string& person) {
  REQUIRE(give_key(ward.ledger(), {.person = person, .pin = "483920", .cost = {.passes = 1, .memory_kib = 8}}).ok());
  return ward.ledger().unlock(person, "483920").value();
}

std::string key_of(WardLedger& ward, std::int64_t seq) { return std::string(*ward.entry(seq).text_at("key")); }

std::string rotated(WardLedger& ward, OwnKey which, const std::string& cause = "rotated", SignerPtr signer = nullptr) {
  const auto key =
      rotate_key(ward.ledger(), {.which = which, .cause = cause, .since = now(ward), .signer = std::move(signer)});
  REQUIRE_MESSAGE(key.ok(), key.error().sentence());
  return key.value();
}

}  // namespace

TEST_CASE("a rotated station key signs what follows and the old one what came before") {
  WardLedger ward;
  const std::string old_key = key_of(ward, open_pack(ward, "PK-1"));
  const std::string new_key = rotated(ward, OwnKey::station);
  CHECK(new_key != old_key);
  CHECK_EQ(key_of(ward, ward.size()), old_key);
  CHECK_EQ(*ward.entry(ward.size()).text_at("kind"), "key-retired");
  CHECK_EQ(key_of(ward, open_pack(ward, "PK-2")), new_key);
  ward.reopen();
  CHECK_EQ(key_of(ward, open_pack(ward, "PK-3")), new_key);
  CHECK(problems(ward.ledger()).empty());
  const people::KeyFile file = people::KeyFile::read(people::key_path(ward.path())).value();
  CHECK(!file.next_station_key);
  CHECK_EQ(hex(file.station_key.public_key()), new_key);
}

TEST_CASE("a station key can be rotated again and persons keep their keys") {
  WardLedger ward;
  const SignerPtr ana = with_key(ward, "ana");
  rotated(ward, OwnKey::station);
  rotated(ward, OwnKey::station, "lost", ana);
  CHECK_EQ(key_of(ward, ward.size()), hex(ana->key.public_key()));
  CHECK(ward.ledger().unlock("ana", "483920").ok());
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a copy of the key file from before a rotation signs nothing any more") {
  WardLedger ward;
  const std::string path = people::key_path(ward.path());
  const std::string before = file_bytes(path);
  rotated(ward, OwnKey::station);
  REQUIRE(replace_file(path, as_bytes(before), FileMode::owner_only).ok());
  ward.reopen();
  const auto refused = ward.ledger().append_lines(
      R"({"kind":"pack-opened","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":"PK-1"})", {});
  REQUIRE(!refused.ok());
  CHECK(refused.error().code() == ErrorCode::denied);
  CHECK(holds(refused.error().sentence(), "the key of station-1 is not in force"));
}

TEST_CASE("a rotation cut off before its events changes nothing and after them is finished at the next opening") {
  for (const OwnKey which : {OwnKey::station, OwnKey::ledger}) {
    WardLedger ward;
    const std::string path = people::key_path(ward.path());
    const auto prepared = people::KeyFile::change(path, [&](people::KeyFile& file) -> Result<void> {
      (which == OwnKey::station ? file.next_station_key : file.next_ledger_key) =
          crypto::SigningKey::from_seed(Digest{9});
      return {};
    });
    REQUIRE(prepared.ok());
    ward.reopen();
    const std::string old_key = key_of(ward, open_pack(ward, "PK-1"));
    CHECK_EQ(old_key, std::string(*ward.entry(2).text_at("public")));
    CHECK(problems(ward.ledger()).empty());
    // Now the whole of it, and the key file as it was while the events were written.
    rotated(ward, which);
    people::KeyFile file = people::KeyFile::read(path).value();
    const crypto::SigningKey next = which == OwnKey::station ? file.station_key : file.ledger_key;
    (which == OwnKey::station ? file.station_key : file.ledger_key) =
        which == OwnKey::station ? prepared.value().station_key : prepared.value().ledger_key;
    (which == OwnKey::station ? file.next_station_key : file.next_ledger_key) = next;
    REQUIRE(std::remove(path.c_str()) == 0);
    REQUIRE(file.write(path).ok());
    ward.reopen();
    if (which == OwnKey::station) CHECK_EQ(key_of(ward, open_pack(ward, "PK-2")), hex(next.public_key()));
    REQUIRE(ward.ledger().sign_checkpoint().ok());
    CHECK(problems(ward.ledger()).empty());
  }
}

TEST_CASE("a rotated ledger key is co-signed and each checkpoint is checked with the key of its time") {
  WardLedger ward;
  const log::VerifierKey old_key = ward.ledger().ledger_key();
  const std::string old_note = ward.ledger().sign_checkpoint().value();
  rotated(ward, OwnKey::ledger);
  const log::VerifierKey new_key = ward.ledger().ledger_key();
  CHECK(log::vkey(old_key) != log::vkey(new_key));
  CHECK(ward.entry(ward.size() - 1).find("cosigned") != nullptr);
  open_pack(ward, "PK-1");
  const std::string new_note = ward.ledger().sign_checkpoint().value();
  CHECK(log::is_signed_by(log::parse_note(old_note).value(), old_key));
  CHECK(log::is_signed_by(log::parse_note(new_note).value(), new_key));
  CHECK(problems(ward.ledger()).empty());
  ward.reopen();
  CHECK_EQ(log::vkey(ward.ledger().ledger_key()), log::vkey(new_key));
  CHECK(problems(ward.ledger()).empty());

  // The old key signs no present state, and the new one no past state.
  const people::KeyFile file = people::KeyFile::read(people::key_path(ward.path())).value();
  const std::string late =
      log::sign_note(log::checkpoint_text(ward.ledger().origin(), ward.ledger().tree_head(5).value()),
                     ward.ledger().origin(), file.ledger_key);
  REQUIRE(ward.ledger().file().put_checkpoint(5, late).ok());
  CHECK(any_holds(problems(ward.ledger()), "checkpoint of size 5 is not signed by this ledger's key"));
}

TEST_CASE("a later ledger key that the one before it did not sign is named") {
  WardLedger ward;
  const auto key = crypto::SigningKey::from_seed(Digest{5});
  const std::string public_key = hex(key.public_key());
  json::Value added =
      event_of(R"({"kind":"key-added","at":"2026-10-05T09:00:00+05:00","by":"station-1","sort":"ledger"})");
  const std::string text = "trayproof/key-added/1\n" + ward.ledger().ledger_id() + "\n" + ward.ledger().origin() +
                           "\nledger\n" + public_key + "\n";
  added.set("owner", ward.ledger().origin()).set("public", public_key).set("proof", hex(key.sign(as_bytes(text))));
  AppendOptions program;
  program.giver = events::Giver::program;
  program.same_content_repeats = false;
  json::Value by_itself = added;
  by_itself.set("cosigned", hex(key.sign(as_bytes(text))));
  const std::int64_t seq = ward.append({by_itself}, program).last;
  CHECK(any_holds(problems(ward.ledger()), std::to_string(seq) + ": a later ledger key is not co-signed"));
}

TEST_CASE("what a stolen key signed from then on is named and what it signed before is not") {
  WardLedger ward;
  const SignerPtr ana = with_key(ward, "ana");
  AppendOptions as_ana;
  as_ana.signer = ana;
  as_ana.same_content_repeats = false;
  const json::Value opening = event_of(R"({"kind":"pack-opened","at":"2026-10-05T09:00:00+05:00","pack":"PK-1"})");
  const std::int64_t before = ward.append({opening}, as_ana).last;
  ward.clock().move(3'600'000);
  const DateTime stolen = now(ward);
  const std::int64_t at_once = ward.append({opening}, as_ana).last;
  ward.clock().move(3'600'000);
  const std::int64_t after = ward.append({opening}, as_ana).last;
  CHECK(problems(ward.ledger()).empty());
  const auto retired =
      retire_key(ward.ledger(), {.public_key = hex(ana->key.public_key()), .cause = "stolen", .since = stolen});
  REQUIRE(retired.ok());
  CHECK(!ward.ledger().unlock("ana", "483920").ok());
  const auto found = problems(ward.ledger());
  REQUIRE(found.size() == 2);
  const std::string says = ": signed by a key that was reported stolen as of " + format_date_time(stolen) + " (seq " +
                           std::to_string(retired.value()) + ")";
  CHECK(holds(found[0], std::to_string(at_once) + says));
  CHECK(holds(found[1], std::to_string(after) + says));
  CHECK(!any_holds(found, std::to_string(before) + ": "));
  // A new key goes on, and nothing more is named.
  with_key(ward, "ana");
  open_pack(ward, "PK-2");
  CHECK(problems(ward.ledger()).size() == 2);
}

namespace {

// The seq of an event that they signed.
std::int64_t opened_by(WardLedger& ward, const SignerPtr& signer) {
  AppendOptions options;
  options.signer = signer;
  return ward.append({event_of(R"({"kind":"pack-opened","at":"2026-10-05T09:00:00+05:00","pack":"P"})")}, options).last;
}

}  // namespace

TEST_CASE("a key that was rotated before may still be reported stolen") {
  WardLedger ward;
  const SignerPtr ana = with_key(ward, "ana");
  const std::int64_t seq = opened_by(ward, ana);
  with_key(ward, "ana");
  CHECK(problems(ward.ledger()).empty());
  const std::string key = hex(ana->key.public_key());
  CHECK(!retire_key(ward.ledger(), {.public_key = key, .cause = "lost", .since = now(ward)}).ok());
  REQUIRE(retire_key(ward.ledger(), {.public_key = key, .cause = "stolen", .since = {noon(), 0}}).ok());
  const auto found = problems(ward.ledger());
  CHECK(any_holds(found, std::to_string(seq) + ": signed by a key that was reported stolen"));
  CHECK(!any_holds(found, "retired in seq"));
}

TEST_CASE("no later report of a theft takes back what an earlier one names") {
  WardLedger ward;
  const SignerPtr ana = with_key(ward, "ana");
  const std::int64_t seq = opened_by(ward, ana);
  const std::string key = hex(ana->key.public_key());
  const auto report = [&](const DateTime& since) {
    REQUIRE(retire_key(ward.ledger(), {.public_key = key, .cause = "stolen", .since = since}).ok());
  };
  DateTime later = now(ward);
  later.instant.ms += 86'400'000;
  report(later);
  CHECK(problems(ward.ledger()).empty());
  report({noon(), 0});
  CHECK(any_holds(problems(ward.ledger()), std::to_string(seq) + ": signed by a key that was reported stolen"));
  report(later);
  CHECK(any_holds(problems(ward.ledger()), std::to_string(seq) + ": signed by a key that was reported stolen"));
}

TEST_CASE("a stolen station key is answered by a person and the old record still holds") {
  WardLedger ward;
  const SignerPtr mara = with_key(ward, "mara");
  open_pack(ward, "PK-1");
  ward.clock().move(3'600'000);
  rotated(ward, OwnKey::station, "stolen", mara);
  open_pack(ward, "PK-2");
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("when the key file is lost a new ledger goes on from the end of the old one") {
  WardLedger ward;
  const std::int64_t last = open_pack(ward, "PK-1");
  REQUIRE(std::remove(people::key_path(ward.path()).c_str()) == 0);
  ward.reopen();
  CHECK(!ward.ledger().writable());
  CHECK(problems(ward.ledger()).empty());
  Creation next = creation();
  next.continues = Continued{.origin = ward.ledger().origin(), .head = ward.ledger().tree_head().value()};
  const std::string path = ward.folder().file("next.trayproof");
  auto made = Ledger::create(path, next, ward.clock());
  REQUIRE(made.ok());
  const json::Value opened = event_of(made.value().entry(1).value().bytes);
  const json::Value* continues = opened.find("continues");
  REQUIRE(continues != nullptr);
  CHECK_EQ(*continues->text_at("origin"), ward.ledger().origin());
  CHECK(continues->number_at("size") == static_cast<double>(last));
  CHECK_EQ(*continues->text_at("root"), hex(ward.ledger().tree_head(last).value().root));
  CHECK(problems(made.value()).empty());
}
