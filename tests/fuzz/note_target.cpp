#include "ledger/log/note.h"
#include "tests/fuzz/target.h"

namespace trayproof::fuzz {
namespace {

std::string printed(const log::Note& note) {
  std::string out = note.text + "\n";
  for (const log::NoteSignature& one : note.signatures) {
    Bytes bytes(one.id.begin(), one.id.end());
    bytes.insert(bytes.end(), one.signature.begin(), one.signature.end());
    out += "— " + one.name + " " + base64(bytes) + "\n";
  }
  return out;
}

}  // namespace

// A note that is read prints as the same bytes, a checkpoint as the beginning of its text, a verifier key as itself.
void signed_note(std::string_view bytes) {
  if (const auto key = log::parse_vkey(bytes); key.ok()) must_hold(log::vkey(key.value()) == bytes, "vkey as it came");
  const auto note = log::parse_note(bytes);
  if (!note.ok()) return;
  must_hold(!note.value().signatures.empty(), "a note is signed");
  must_hold(printed(note.value()) == bytes, "note as it came");
  for (const log::NoteSignature& one : note.value().signatures) {
    crypto::PublicKey nobody{};
    must_hold(!log::is_signed_by(note.value(), {one.name, nobody}), "nobody's key signs nothing");
  }
  const auto checkpoint = log::parse_checkpoint(note.value());
  if (!checkpoint.ok()) return;
  must_hold(note.value().text.starts_with(log::checkpoint_text(checkpoint.value().origin, checkpoint.value().head)),
            "checkpoint as it came");
}

}  // namespace trayproof::fuzz
