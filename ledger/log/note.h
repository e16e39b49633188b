// Signed notes and checkpoints of C2SP (signed-note.md, tlog-checkpoint.md). Pure. docs/checkpoint-format.md shows the
// bytes.
//
//   <origin> LF <decimal size> LF <base64 root> LF LF
//   — <name> <base64(4-byte key id || 64-byte signature)> LF
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/result.h"
#include "ledger/crypto/sign.h"
#include "ledger/log/tree.h"

namespace trayproof::log {

// What a key's signatures are made over: its byte in signed-note.md, "Signature types".
enum class KeySort : std::uint8_t {
  signature = 0x01,    // the note's text
  cosignature = 0x04,  // a witness's statement about a checkpoint (cosignature.h)
};

struct VerifierKey {
  std::string name;
  crypto::PublicKey key{};
  KeySort sort = KeySort::signature;
};

// First 4 bytes of SHA-256(name || LF || sort || key).
std::array<std::uint8_t, 4> key_id(const VerifierKey& key);
// name+<key id in hex>+<base64(sort || key)>
std::string vkey(const VerifierKey& key);
Result<VerifierKey> parse_vkey(std::string_view text);

struct NoteSignature {
  std::string name;
  std::array<std::uint8_t, 4> id{};
  Bytes signature;
};

struct Note {
  std::string text;  // ends in LF
  std::vector<NoteSignature> signatures;
};

std::string sign_note(std::string_view text, const std::string& name, const crypto::SigningKey& key);
// Invalid when the bytes are no signed note.
Result<Note> parse_note(std::string_view bytes);
// Whether one signature is that of `key` and fits the note's text.
bool fits(const Note& note, const NoteSignature& signature, const VerifierKey& key);
// Whether a signature of `key` stands under the note and fits.
bool is_signed_by(const Note& note, const VerifierKey& key);

std::string checkpoint_text(std::string_view origin, const Head& head);
struct Checkpoint {
  std::string origin;
  Head head;
};
Result<Checkpoint> parse_checkpoint(const Note& note);

}  // namespace trayproof::log
