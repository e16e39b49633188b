#include "tests/tamper/tampering.h"

#include <fstream>

#include "ledger/base/files.h"
#include "ledger/crypto/hash.h"
#include "tests/support/unguarded.h"

namespace trayproof::tests {
namespace {

constexpr std::size_t curve_bytes = 1'200'000;  // two parts of an attachment

Bytes curve() {
  Bytes bytes(curve_bytes);
  for (std::size_t i = 0; i < bytes.size(); ++i) bytes[i] = static_cast<std::uint8_t>("121.3;0.98\n"[i % 11]);
  return bytes;
}

void fill(WardLedger& ward) {
  const std::string head = R"("by":"ana","at":"2026-10-05T)";
  ward.take(
      R"({"kind":"person-enrolled",)" + head +
      R"(08:00:00+05:00","person":"ana","name":"Ana Invented","roles":["processor"]})"
      "\n"
      R"({"kind":"set-defined",)" +
      head +
      R"(08:00:00+05:00","set":"DS-1","title":"Delivery set","items":[{"item":"Forceps","count":2}],"contact":"critical"})"
      "\n"
      R"({"kind":"equipment-registered",)" +
      head +
      R"(08:00:00+05:00","equipment":"AC-1","sort":"steam-sterilizer"})"
      "\n"
      R"({"kind":"solution-prepared",)" +
      head +
      R"(08:10:00+05:00","solution":"S-1","agent":"sodium-hypochlorite","use":"decontamination","percent":0.5,"ready_to_use":true})"
      "\n"
      R"({"kind":"soaked",)" +
      head +
      R"(08:20:00+05:00","set":"DS-1","solution":"S-1","until":"2026-10-05T08:30:00+05:00"})"
      "\n");
  ward.take(
      R"({"kind":"packed",)" + head +
      R"(08:40:00+05:00","pack":"PK-1","set":"DS-1","wrap":"wrapped","slip":"s-1"})"
      "\n"
      R"({"kind":"load-started",)" +
      head +
      R"(08:50:00+05:00","load":"L-1","method":"steam-gravity","equipment":"AC-1","packs":["PK-1"]})"
      "\n"
      R"({"kind":"load-ended",)" +
      head +
      R"(09:30:00+05:00","load":"L-1","complete":true,"temperature_c":121.5,"note":"quiet cycle"})"
      "\n"
      R"({"kind":"indicator-read",)" +
      head +
      R"(09:31:00+05:00","load":"L-1","result":"pass"})"
      "\n"
      R"({"kind":"load-released",)" +
      head +
      R"(09:40:00+05:00","load":"L-1"})"
      "\n"
      R"({"kind":"pack-opened",)" +
      head +
      R"(10:00:00+05:00","pack":"PK-1"})"
      "\n"
      R"({"kind":"procedure-done",)" +
      head +
      R"(10:10:00+05:00","procedure":"P-1","sort":"delivery","place":"room","packs":["PK-1"],"patient":"12-345-678","newborns":["12-345-679"],"note":"calm night"})"
      "\n");
  ward.take(
      R"({"kind":"corrected","by":"ben","at":"2026-10-05T10:30:00+05:00","of":11,"why":"wrong wrap","replacement":)"
      R"({"kind":"packed",)" +
      head +
      R"(08:40:00+05:00","pack":"PK-1","set":"DS-1","wrap":"pouch"}})"
      "\n"
      R"({"kind":"procedure-done",)" +
      head +
      R"(11:00:00+05:00","procedure":"P-2","sort":"delivery","place":"room","packs":[],"patient":"87-654-321"})"
      "\n"
      R"({"kind":"remarked",)" +
      head +
      R"(11:10:00+05:00","subject":{"kind":"set","id":"DS-1"},"text":"new hinge"})"
      "\n");
  AppendOptions program;
  program.giver = events::Giver::program;
  const Bytes bytes = curve();
  const auto attached = ward.ledger().attach(bytes);
  if (!attached.ok()) std::abort();
  ward.append(
      {event_of(
           R"({"kind":"curve-measured","by":"station-1","at":"2026-10-05T08:50:00+05:00","equipment":"AC-1","file":")" +
           hex(crypto::sha256(bytes)) +
           R"(","part":1,"from":"2026-10-05T08:50:00+05:00","until":"2026-10-05T09:30:00+05:00",)"
           R"("interval_s":1,"reading":{"decimal":"."}})"),
       event_of(
           R"({"kind":"curve-placed","by":"station-1","at":"2026-10-05T09:31:00+05:00","curve":21,"load":"L-1"})")},
      program);
  const auto checkpoint = ward.ledger().sign_checkpoint();
  if (!checkpoint.ok()) std::abort();
  ward.take(R"({"kind":"pack-withdrawn",)" + head + R"(11:30:00+05:00","pack":"PK-1","why_withdrawn":"torn"})");
  if (!problems(ward.ledger()).empty()) std::abort();
}

void write(const std::string& path, std::string_view bytes) {
  std::ofstream out(path, std::ios::binary | std::ios::trunc);
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
}

}  // namespace

Tampering::Tampering() : clock_(noon()), path_(ward_.folder().file("copy.trayproof")) {
  fill(ward_);
  expected_ = answers_of(ward_.ledger());
  write(path_, file_bytes(ward_.path()));
  const auto keys = replace_file(path_ + ".keys", as_bytes(file_bytes(ward_.path() + ".keys")), FileMode::owner_only);
  if (!keys.ok()) std::abort();
  pristine_ = file_bytes(path_);
}

void Tampering::fresh_copy() { write(path_, pristine_); }

bool Tampering::run(const std::string& sql) {
  auto database = store::Database::open(path_, store::Access::write);
  return database.ok() &&
         database.value()
             .run("PRAGMA synchronous = OFF; PRAGMA journal_mode = MEMORY; PRAGMA foreign_keys = OFF")
             .ok() &&
         run_unguarded(database.value(), sql);
}

Answers Tampering::answers_of(Ledger& ledger) {
  Answers answers;
  const auto gather = [&](const json::Value& value, auto&& self) -> void {
    if (value.is_list()) {
      for (const json::Value& item : value.items()) self(item, self);
    }
    if (!value.is_object()) return;
    if (const auto stand_in = value.text_at("sha256"); stand_in && value.members().size() == 1) {
      Digest digest{};
      if (!from_hex(*stand_in, digest)) return;
      const auto text = ledger.text(digest);
      answers.texts[std::string(*stand_in)] = text.ok() ? text.value().value_or("gone") : text.error().sentence();
    }
    const auto number = [&](const json::Value& pseudonym) {
      if (!pseudonym.is_text()) return;
      const auto opened = ledger.patient_number(pseudonym.text());
      answers.numbers[pseudonym.text()] = opened.ok() ? opened.value().value_or("gone") : opened.error().sentence();
    };
    for (const json::Member& member : value.members()) {
      if (member.name == "patient") number(member.value);
      if (member.name == "newborns" && member.value.is_list()) {
        for (const json::Value& one : member.value.items()) number(one);
      }
      self(member.value, self);
    }
    if (value.text_at("kind") == "curve-measured") {
      Digest digest{};
      if (!from_hex(value.text_at("file").value_or(""), digest)) return;
      const auto bytes = ledger.attachment(digest);
      answers.files[hex(digest)] = bytes.ok() ? hex(crypto::sha256(bytes.value())) : bytes.error().sentence();
    }
  };
  const auto head = ledger.head();
  const auto scanned =
      ledger.scan(1, head.ok() ? head.value().seq : 0, [&](const store::EntryView& entry) -> Result<void> {
        answers.exported += std::to_string(entry.seq) + " " + std::string(entry.bytes) + " " + hex(entry.hash) + " " +
                            hex(entry.sig) + "\n";
        const auto event = json::parse(entry.bytes);
        if (event.ok()) gather(event.value(), gather);
        return {};
      });
  if (!scanned.ok()) answers.exported += scanned.error().sentence();
  return answers;
}

Fate Tampering::fate() {
  // For reading: verify then leaves no mark, and the copy stays as it was damaged.
  auto ledger = Ledger::open(path_, clock_, store::Access::read);
  if (!ledger.ok()) {
    last_word_ = "not opened: " + ledger.error().sentence();
    return Fate::closed;
  }
  const auto found = problems(ledger.value(), Depth::full);
  last_word_ = "verify told: " + joined(found);
  if (!found.empty()) return Fate::told;
  return answers_of(ledger.value()) == expected_ ? Fate::unchanged : Fate::unseen;
}

}  // namespace trayproof::tests
