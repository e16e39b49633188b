// Co-signatures taken in, and checkpoints from outside held against the record.
#include "ledger/witness.h"

#include "ledger/log/chain.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;
using State = CheckpointFound::State;

namespace {

crypto::SigningKey key_of(std::uint8_t number) {
  Digest seed{};
  seed[0] = number;
  return crypto::SigningKey::from_seed(seed);
}
log::VerifierKey witness(std::uint8_t number) {
  return {.name = "district.example/" + std::to_string(number),
          .key = key_of(number).public_key(),
          .sort = log::KeySort::cosignature};
}
std::string text_of(const std::string& note) { return note.substr(0, note.find("\n\n") + 1); }
std::string cosigned(const std::string& note, std::uint8_t number, std::uint64_t seconds = 1791180000) {
  return note + log::cosign(text_of(note), witness(number).name, key_of(number), seconds);
}
std::string signed_state(WardLedger& ward) {
  auto note = ward.ledger().sign_checkpoint();
  REQUIRE(note.ok());
  return std::move(note).value();
}
void take_one(WardLedger& ward, const std::string& pack) {
  ward.take(R"({"kind":"packed","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":")" + pack +
            R"(","set":"DS-1","wrap":"wrapped"})");
}
Verification verified(Ledger& ledger, const VerifyOptions& options) {
  auto found = verify(ledger, options);
  REQUIRE(found.ok());
  return std::move(found).value();
}
CheckpointFound outside(Ledger& ledger, const std::string& note) {
  const auto found = verified(ledger, {.outside = {note}});
  REQUIRE(!found.checkpoint_states.empty());
  CHECK(found.checkpoint_states.back().source == CheckpointFound::Source::outside);
  CHECK_EQ(found.problems.empty(), found.checkpoint_states.back().state == State::holds);
  return found.checkpoint_states.back();
}
std::string why_refused(WardLedger& ward, const std::string& note, const std::vector<log::VerifierKey>& keys = {}) {
  const auto done = take_witness(ward.ledger(), note, keys);
  REQUIRE(!done.ok());
  CHECK(done.error().code() == ErrorCode::invalid);
  return done.error().sentence();
}

}  // namespace

TEST_CASE("a witness's signature is kept with the checkpoint and checked where its key is given") {
  WardLedger ward;
  const std::string note = signed_state(ward);
  const auto done = take_witness(ward.ledger(), cosigned(note, 1), {witness(1)});
  REQUIRE(done.ok());
  CHECK_EQ(done.value().added, 1U);
  CHECK_EQ(done.value().note, cosigned(note, 1));
  REQUIRE(ward.ledger().checkpoints().value().size() == 1);
  CHECK_EQ(ward.ledger().checkpoints().value()[0], cosigned(note, 1));
  CHECK_EQ(signed_state(ward), cosigned(note, 1));  // the same state is not kept twice
  // A second witness who saw only the first form of the note.
  REQUIRE(take_witness(ward.ledger(), cosigned(note, 2), {}).ok());
  const auto again = take_witness(ward.ledger(), cosigned(note, 2), {});
  REQUIRE(again.ok());
  CHECK_EQ(again.value().added, 0U);
  const auto found = verified(ward.ledger(), {.witnesses = {witness(1)}});
  CHECK(found.problems.empty());
  REQUIRE(found.checkpoint_states.size() == 1);
  const auto& signatures = found.checkpoint_states[0].signatures;
  REQUIRE(signatures.size() == 3);
  CHECK(signatures[0].standing == log::Standing::fits);
  CHECK(signatures[1].standing == log::Standing::fits);
  CHECK_EQ(signatures[1].posix_seconds.value_or(0), 1791180000U);
  CHECK(signatures[2].standing == log::Standing::unchecked);
}

TEST_CASE("the lines of a witness alone are taken under the text that is kept") {
  WardLedger ward;
  const std::string note = signed_state(ward);
  take_one(ward, "PK-1");
  const std::string lines = text_of(note) + "\n" + log::cosign(text_of(note), witness(1).name, key_of(1), 5);
  const auto done = take_witness(ward.ledger(), lines, {witness(1)});
  REQUIRE(done.ok());
  CHECK_EQ(done.value().note, cosigned(note, 1, 5));
}

TEST_CASE("a checkpoint that is no longer kept is taken back with its witness") {
  WardLedger ward;
  const std::string note = signed_state(ward);
  take_one(ward, "PK-1");
  REQUIRE(ward.ledger().file().database().run("DELETE FROM checkpoints").ok());
  const auto done = take_witness(ward.ledger(), cosigned(note, 1), {});
  REQUIRE(done.ok());
  CHECK_EQ(done.value().added, 1U);
  CHECK(verified(ward.ledger(), {}).problems.empty());
  CHECK_EQ(verified(ward.ledger(), {}).checkpoints, 1);
}

TEST_CASE("what is no witness of this ledger's state is refused with the reason") {
  WardLedger ward;
  WardLedger other;
  const std::string note = signed_state(ward);
  CHECK(holds(why_refused(ward, "nothing"), "signed note"));
  CHECK(holds(why_refused(ward, note), "no signature but the ledger's own"));
  CHECK(holds(why_refused(ward, cosigned(signed_state(other), 1)), "another ledger"));
  log::VerifierKey posing = witness(1);
  CHECK(holds(why_refused(ward, note + log::cosign("other text\n", posing.name, key_of(1), 5), {posing}),
              "does not fit"));
  const log::Head ahead{.size = 1000, .root = {}};
  const std::string origin = ward.ledger().origin();
  const std::string later =
      log::sign_note(log::checkpoint_text(origin, ahead), origin, ward.ledger().keys()->ledger_key);
  CHECK(holds(why_refused(ward, cosigned(later, 1)), "1000 events"));
  const log::Head another{.size = 3, .root = log::leaf_hash("another")};
  const std::string rewritten =
      log::sign_note(log::checkpoint_text(origin, another), origin, ward.ledger().keys()->ledger_key);
  CHECK(holds(why_refused(ward, cosigned(rewritten, 1)), "not what it says"));
  const std::string foreign = log::sign_note(log::checkpoint_text(origin, another), origin, key_of(9));
  CHECK(holds(why_refused(ward, cosigned(foreign, 1)), "not signed by this ledger's key"));
  CHECK_EQ(ward.ledger().checkpoints().value().size(), 1U);
}

TEST_CASE("a changed co-signature is told where its key is given and is only unchecked where it is not") {
  WardLedger ward;
  const std::string note = signed_state(ward);
  REQUIRE(take_witness(ward.ledger(), cosigned(note, 1), {}).ok());
  std::string changed = cosigned(note, 1);
  const std::size_t at = changed.size() - 10;
  changed[at] = changed[at] == 'A' ? 'B' : 'A';
  REQUIRE(ward.ledger().file().replace_checkpoint(ward.size(), cosigned(note, 1), changed).ok());
  CHECK(verified(ward.ledger(), {}).problems.empty());
  const auto found = verified(ward.ledger(), {.witnesses = {witness(1)}});
  REQUIRE(found.problems.size() == 1);
  CHECK(holds(found.problems[0].what, "district.example/1"));
}

TEST_CASE("a checkpoint from outside tells an older copy and another history from a record that holds") {
  WardLedger ward;
  take_one(ward, "PK-1");
  const std::string early = signed_state(ward);
  const std::string copy = file_bytes(ward.path());
  take_one(ward, "PK-2");
  const std::string late = signed_state(ward);
  CHECK(outside(ward.ledger(), early).state == State::holds);
  CHECK(outside(ward.ledger(), late).state == State::holds);
  CHECK(outside(ward.ledger(), "paper").state == State::unreadable);
  std::string unsigned_one = late;
  unsigned_one.replace(unsigned_one.find("\n7\n"), 3, "\n6\n");
  CHECK(outside(ward.ledger(), unsigned_one).state == State::not_signed);
  WardLedger other;
  CHECK(outside(ward.ledger(), signed_state(other)).state == State::other_ledger);

  // The older copy put back: nothing inside tells, the later checkpoint does.
  std::FILE* file = std::fopen(ward.path().c_str(), "wb");
  REQUIRE(file != nullptr);
  REQUIRE(std::fwrite(copy.data(), 1, copy.size(), file) == copy.size());
  REQUIRE(std::fclose(file) == 0);
  ward.reopen();
  CHECK(verified(ward.ledger(), {.depth = Depth::full}).problems.empty());
  CHECK(outside(ward.ledger(), early).state == State::holds);
  CHECK(outside(ward.ledger(), late).state == State::older_copy);
  const auto found = verified(ward.ledger(), {.outside = {late}});
  CHECK_EQ(found.problems[0].seq.value_or(0), 7);
  CHECK(holds(found.problems[0].what, "PUT BACK TO AN OLDER COPY"));

  // And gone on from, by a holder of the keys: as long as before, and yet another history.
  take_one(ward, "PK-3");
  CHECK(verified(ward.ledger(), {.depth = Depth::full}).problems.empty());
  CHECK(outside(ward.ledger(), late).state == State::other_history);
  const auto rewritten = verified(ward.ledger(), {.outside = {late, early}});
  CHECK_EQ(rewritten.problems.size(), 1U);
  CHECK(holds(rewritten.problems[0].what, "ANOTHER HISTORY"));
}
