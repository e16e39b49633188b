// Forgetting: two persons, then nothing is left of what stood beside the chain, and the record still holds.
#include "ledger/erasure.h"

#include "ledger/base/files.h"
#include "ledger/crypto/hash.h"
#include "ledger/erasure_list.h"
#include "tests/support/signed_ward.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

constexpr const char* number = "12-345-678";

std::string pseudonym_of(WardLedger& ward, std::int64_t seq) {
  return std::string(*ward.entry(seq).text_at("patient"));
}

store::KeptPatient row_of(WardLedger& ward, const std::string& pseudonym) {
  crypto::Token token{};
  REQUIRE(from_hex(pseudonym, token));
  return ward.ledger().file().patient_by_pseudonym(token).value().value();
}

store::KeptText text_of(WardLedger& ward, std::int64_t seq, const std::string& field) {
  Digest digest{};
  REQUIRE(from_hex(*text_stand_in_at(ward.ledger().file(), seq, field), digest));
  return ward.ledger().file().text(digest).value().value();
}

// What a countersignature leaves when the program dies before the destruction: the entry alone.
void countersign_and_die(SignedWard& ward, std::int64_t of) {
  json::Value event = event_of(R"({"kind":"countersigned","at":"2026-10-05T12:00:00+05:00"})");
  event.set("of", of);
  AppendOptions options;
  options.giver = events::Giver::program;
  options.same_content_repeats = false;
  options.signer = ward.noor();
  const auto done = ward.append({std::move(event)}, options);
  REQUIRE(done.refusals.empty());
}

}  // namespace

TEST_CASE("a patient is forgotten when the second person has countersigned and not before") {
  SignedWard ward;
  const std::int64_t delivered =
      ward.take(delivery_line("P-1", R"(,"patient":"12-345-678","newborns":["12-345-679"])"));
  const std::string pseudonym = pseudonym_of(ward, delivered);
  const store::KeptPatient row = row_of(ward, pseudonym);
  const std::int64_t asked = ward.ask_patient(pseudonym);
  CHECK(ward.ledger().patient_number(pseudonym).value() == number);
  CHECK(problems(ward.ledger()).empty());
  CHECK(ward.entry(asked).text_at("by") == "mara");
  CHECK(ward.entry(asked).text_at("second") == "noor");

  CHECK(!ward.ledger().countersign(asked, ward.mara()).ok());  // not by the one who asked
  REQUIRE(ward.ledger().countersign(asked, ward.noor()).ok());
  CHECK(!ward.ledger().patient_number(pseudonym).value());
  CHECK(ward.ledger().patient_number(ward.entry(delivered).find("newborns")->items()[0].text()).value() ==
        "12-345-679");
  for (const std::string& file : {ward.path(), ward.path() + ".erased"}) {
    const std::string bytes = file_bytes(file);
    CHECK(!holds(bytes, number));
    CHECK(!holds(bytes, as_text(row.sealed_number)));
    CHECK(!holds(bytes, as_text(row.sealed_key)));
    CHECK(!holds(bytes, as_text(row.lookup)));
    CHECK(holds(bytes, pseudonym));  // the record itself stays
  }
  CHECK(!file_exists(ward.path() + "-journal"));
  CHECK(problems(ward.ledger()).empty());
  ward.reopen();
  CHECK(problems(ward.ledger()).empty());
  CHECK_EQ(verify(ward.ledger(), Depth::full).value().erased_patients, 1);
}

TEST_CASE("a patient who returns gets a new pseudonym and the old line sent again is still the same event") {
  SignedWard ward;
  const std::string line = delivery_line("P-1", R"(,"patient":"12-345-678","note":"calm night")");
  const std::int64_t delivered = ward.take(line);
  const std::string before = pseudonym_of(ward, delivered);
  ward.erase_patient(before);
  REQUIRE(ward.ledger().countersign(ward.ask_text(delivered, "/note"), ward.noor()).ok());
  const std::int64_t size = ward.size();
  // What was removed is not compared, and a repeat seals and stores nothing again.
  const Appended again = ward.record(line);
  CHECK_EQ(again.repeated, 1);
  CHECK_EQ(again.last, delivered);
  CHECK_EQ(ward.record(delivery_line("P-1", R"(,"patient":"99-999-999","note":"wild night")")).repeated, 1);
  CHECK_EQ(ward.size(), size);
  CHECK(!holds(file_bytes(ward.path()), "calm night"));
  CHECK(!ward.ledger().patient_number(before).value());
  const std::int64_t returned = ward.take(delivery_line("P-2", R"(,"patient":"12-345-678")"));
  CHECK(pseudonym_of(ward, returned) != before);
  CHECK(ward.ledger().patient_number(pseudonym_of(ward, returned)).value() == number);
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a text and its salt are removed from every depth and the entry stays as it is") {
  SignedWard ward;
  const std::int64_t remarked = ward.take(
      R"({"kind":"remarked","at":"2026-10-05T09:00:00+05:00","by":"ana","subject":{"kind":"set","id":"DS-1"},"text":"asked for Invented Person","as_read":{"note":"scrawled secret"}})");
  const std::string bytes_before = ward.bytes_of(remarked);
  for (const std::string field : {"/text", "/as_read/note"}) {
    const store::KeptText text = text_of(ward, remarked, field);
    CHECK(holds(file_bytes(ward.path()), text.text));
    REQUIRE(ward.ledger().countersign(ward.ask_text(remarked, field), ward.noor()).ok());
    CHECK(!holds(file_bytes(ward.path()), text.text));
    CHECK(!holds(file_bytes(ward.path()), as_text(text.salt)));
    CHECK(!ward.ledger().text(text.stand_in).value());
  }
  CHECK_EQ(ward.bytes_of(remarked), bytes_before);
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("an attachment is removed and can be given again only by whoever has it") {
  SignedWard ward;
  const std::string photo = "a photo of a strip, with a name on it";
  const Digest sha256 = crypto::sha256(as_bytes(photo));
  REQUIRE(ward.ledger().attach(as_bytes(photo)).value());
  const std::int64_t asked =
      ward.ask({.sort = Forgotten::attachment, .subject = hex(sha256), .of = 0, .field = {}, .second = {}, .at = {}});
  CHECK(ward.ledger().has_attachment(sha256).value());
  REQUIRE(ward.ledger().countersign(asked, ward.noor()).ok());
  CHECK(!ward.ledger().has_attachment(sha256).value());
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("what a crash left between countersignature and destruction is done at the next opening") {
  SignedWard ward;
  const std::int64_t delivered = ward.take(delivery_line("P-1", R"(,"patient":"12-345-678","note":"calm night")"));
  const std::string pseudonym = pseudonym_of(ward, delivered);
  const store::KeptPatient row = row_of(ward, pseudonym);
  const std::int64_t patient = ward.ask_patient(pseudonym);
  const std::int64_t text = ward.ask_text(delivered, "/note");
  countersign_and_die(ward, patient);
  countersign_and_die(ward, text);
  CHECK(holds(file_bytes(ward.path()), as_text(row.sealed_number)));
  CHECK(any_holds(problems(ward.ledger()), "is still there"));
  ward.reopen();
  CHECK(!holds(file_bytes(ward.path()), as_text(row.sealed_number)));
  CHECK(!holds(file_bytes(ward.path()), as_text(row.sealed_key)));
  CHECK(!holds(file_bytes(ward.path()), "calm night"));
  CHECK(problems(ward.ledger()).empty());
  CHECK_EQ(read_list_file(list_path(ward.path())).value().proofs.size(), 2U);
}

TEST_CASE("verify names what was removed without a request or before it was countersigned") {
  SignedWard ward;
  const std::int64_t delivered = ward.take(delivery_line("P-1", R"(,"patient":"12-345-678","note":"calm night")"));
  const std::string pseudonym = pseudonym_of(ward, delivered);
  const auto gone = [&](Forgotten sort, const std::string& subject) {
    auto transaction = ward.ledger().file().begin();
    REQUIRE(destroy(ward.ledger().file(), sort, subject).value());
    REQUIRE(transaction.value().commit().ok());
  };
  gone(Forgotten::patient, pseudonym);
  CHECK(any_holds(problems(ward.ledger()), std::to_string(delivered) + ": "));
  const std::int64_t asked = ward.ask_text(delivered, "/note");
  const std::string stand_in = *text_stand_in_at(ward.ledger().file(), delivered, "/note");
  gone(Forgotten::text, stand_in);
  const auto found = problems(ward.ledger());
  CHECK_EQ(found.size(), 2U);
  CHECK(any_holds(found, std::to_string(asked) + ": something of seq " + std::to_string(delivered)));
  countersign_and_die(ward, asked);
  CHECK_EQ(problems(ward.ledger()).size(), 1U);  // the text was asked for in the end; the number never was
}

TEST_CASE("only what is there can be asked for and only once") {
  SignedWard ward;
  const std::int64_t delivered = ward.take(delivery_line("P-1", R"(,"patient":"12-345-678","note":"calm night")"));
  const auto refused = [&](const ErasureWish& wish) {
    ErasureWish whole = wish;
    whole.second = "noor";
    whole.at = "2026-10-05T12:00:00+05:00";
    const auto asked = ask_for_erasure(ward.ledger(), whole, ward.mara());
    REQUIRE(!asked.ok());
    return asked.error().sentence();
  };
  const auto text = [&](std::int64_t of, const std::string& field) {
    return ErasureWish{.sort = Forgotten::text, .subject = {}, .of = of, .field = field, .second = {}, .at = {}};
  };
  CHECK(holds(refused(text(delivered, "/place")), "no text stands at /place"));
  CHECK(holds(refused(text(delivered, "/nothing")), "no text"));
  CHECK(holds(refused(text(99, "/note")), "no text"));
  ErasureWish stranger{};
  stranger.subject = std::string(32, '0');
  CHECK(holds(refused(stranger), "nothing to erase"));
  ward.ask_text(delivered, "/note");
  CHECK(holds(refused(text(delivered, "/note")), "waits for noor"));
}

TEST_CASE("backups that still hold what was erased are listed and later ones are not") {
  SignedWard ward;
  const auto backup_made = [&](const std::string& where) {
    json::Value event = event_of(R"({"kind":"backup-made","at":"2026-10-05T12:00:00+05:00","by":"station-1"})");
    event.set("size", ward.size()).set("root", hex(ward.ledger().tree_head().value().root)).set("where", where);
    AppendOptions options;
    options.giver = events::Giver::program;
    options.same_content_repeats = false;
    REQUIRE(ward.append({std::move(event)}, options).refusals.empty());
  };
  backup_made("before the delivery");
  const std::int64_t delivered = ward.take(delivery_line("P-1", R"(,"patient":"12-345-678")"));
  backup_made("monday");
  backup_made("stick");
  const std::int64_t asked = ward.erase_patient(pseudonym_of(ward, delivered));
  backup_made("stick");  // replaced the one that held it
  backup_made("after");
  const auto requests = erasure_requests(ward.ledger()).value();
  REQUIRE_EQ(requests.size(), 1U);
  CHECK_EQ(requests[0].seq, asked);
  const auto holding = backups_that_hold(ward.ledger(), requests[0]).value();
  REQUIRE_EQ(holding.size(), 1U);
  CHECK_EQ(holding[0].where, "monday");
}

TEST_CASE("a line of the list proves an erasure only as two persons signed it") {
  SignedWard ward;
  const std::int64_t delivered = ward.take(delivery_line("P-1", R"(,"patient":"12-345-678")"));
  ward.erase_patient(pseudonym_of(ward, delivered));
  const ErasureList list = read_list_file(list_path(ward.path())).value();
  REQUIRE_EQ(list.proofs.size(), 1U);
  const ErasureProof& proof = list.proofs.front();
  const people::KeyBook book = ward.ledger().key_book().value();
  CHECK(proof_holds(proof, book));
  CHECK_EQ(list_text(read_list(list_text({proof})).proofs), list_text({proof}));
  ErasureProof other = proof;
  other.subject[0] = other.subject[0] == '0' ? '1' : '0';
  CHECK(!proof_holds(other, book));
  other = proof;
  other.request.bytes += " ";
  CHECK(!proof_holds(other, book));
  other = proof;
  other.countersigned = other.request;
  CHECK(!proof_holds(other, book));
  CHECK(!proof_holds(proof, people::KeyBook()));
  CHECK_EQ(read_list("not json\n{}\n\n" + list_text({proof})).unreadable, 2);
  CHECK_EQ(read_list("not json\n{}\n\n" + list_text({proof})).proofs.size(), 1U);
}
