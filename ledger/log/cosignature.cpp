#include "ledger/log/cosignature.h"

#include <algorithm>

#include "ledger/base/check.h"

namespace trayproof::log {
namespace {

constexpr std::size_t time_bytes = 8;

std::string cosigned_text(std::string_view text, std::uint64_t posix_seconds) {
  return "cosignature/v1\ntime " + std::to_string(posix_seconds) + "\n" + std::string(text);
}

std::string line_of(const NoteSignature& one) {
  Bytes bytes(one.id.begin(), one.id.end());
  bytes.insert(bytes.end(), one.signature.begin(), one.signature.end());
  return "— " + one.name + " " + base64(bytes) + "\n";
}

std::uint64_t time_of(ByteView signature) {
  std::uint64_t seconds = 0;
  for (std::size_t i = 0; i < time_bytes; ++i) seconds = seconds << 8 | signature[i];
  return seconds;
}

// tlog-cosignature.md: a time past 2^63 - 1 is no time.
bool cosignature_fits(const Note& note, const NoteSignature& one, const VerifierKey& key) {
  if (one.signature.size() != time_bytes + crypto::Signature{}.size()) return false;
  const std::uint64_t seconds = time_of(one.signature);
  return seconds >> 63 == 0 && crypto::check_signature(key.key, as_bytes(cosigned_text(note.text, seconds)),
                                                       ByteView(one.signature).subspan(time_bytes));
}

}  // namespace

std::string cosign(std::string_view text, const std::string& name, const crypto::SigningKey& key,
                   std::uint64_t posix_seconds) {
  CHECK(posix_seconds >> 63 == 0);
  NoteSignature one{.name = name, .id = key_id({name, key.public_key(), KeySort::cosignature}), .signature = {}};
  for (std::size_t i = time_bytes; i > 0; --i)
    one.signature.push_back(static_cast<std::uint8_t>(posix_seconds >> 8 * (i - 1) & 0xFF));
  const crypto::Signature signature = key.sign(as_bytes(cosigned_text(text, posix_seconds)));
  one.signature.insert(one.signature.end(), signature.begin(), signature.end());
  return line_of(one);
}

bool fits(const Note& note, const NoteSignature& one, const VerifierKey& key) {
  if (one.name != key.name || one.id != key_id(key)) return false;
  return key.sort == KeySort::cosignature ? cosignature_fits(note, one, key)
                                          : crypto::check_signature(key.key, as_bytes(note.text), one.signature);
}

std::vector<SignatureFound> signatures_of(const Note& note, const std::vector<VerifierKey>& known) {
  std::vector<SignatureFound> found;
  for (const NoteSignature& one : note.signatures) {
    SignatureFound& told = found.emplace_back();
    told.name = one.name;
    told.id = hex(one.id);
    for (const VerifierKey& key : known) {
      if (key.sort == KeySort::cosignature && key.name == one.name && told.standing == Standing::unchecked)
        told.standing = Standing::other_key;
      if (key.name != one.name || key_id(key) != one.id || told.standing == Standing::fits) continue;
      told.cosignature = key.sort == KeySort::cosignature;
      told.standing = fits(note, one, key) ? Standing::fits : Standing::differs;
      if (told.cosignature && told.standing == Standing::fits) told.posix_seconds = time_of(one.signature);
    }
  }
  return found;
}

std::string to_text(const Note& note) {
  std::string text = note.text + "\n";
  for (const NoteSignature& one : note.signatures) text += line_of(one);
  return text;
}

std::size_t add_signatures(Note& note, const Note& other) {
  CHECK(note.text == other.text);
  std::size_t added = 0;
  for (const NoteSignature& one : other.signatures) {
    const bool there = std::any_of(note.signatures.begin(), note.signatures.end(), [&](const NoteSignature& mine) {
      return mine.name == one.name && mine.id == one.id && mine.signature == one.signature;
    });
    if (there) continue;
    note.signatures.push_back(one);
    ++added;
  }
  return added;
}

}  // namespace trayproof::log
