#include "ledger/log/note.h"

#include <algorithm>
#include <charconv>

#include "ledger/base/limits.h"
#include "ledger/base/utf8.h"
#include "ledger/crypto/hash.h"
#include "ledger/words/words.h"

namespace trayproof::log {
namespace {

constexpr std::string_view dash = "— ";  // U+2014 and a blank begin a signature line

bool is_key_name(std::string_view name) {
  return !name.empty() && name.find_first_of(" +\n\t") == std::string_view::npos;
}

Error no_note(std::string_view found) {
  return {ErrorCode::invalid, say("note.invalid", {{"found", shortened(found, 60)}})};
}

Error no_vkey(std::string_view found) {
  return {ErrorCode::invalid, say("note.no-vkey", {{"found", shortened(found, 100)}})};
}

}  // namespace

std::array<std::uint8_t, 4> key_id(const VerifierKey& key) {
  const std::uint8_t middle[] = {'\n', static_cast<std::uint8_t>(key.sort)};
  const Digest hash = crypto::sha256({as_bytes(key.name), ByteView(middle), ByteView(key.key)});
  return {hash[0], hash[1], hash[2], hash[3]};
}

std::string vkey(const VerifierKey& key) {
  Bytes bytes = {static_cast<std::uint8_t>(key.sort)};
  bytes.insert(bytes.end(), key.key.begin(), key.key.end());
  return key.name + "+" + hex(key_id(key)) + "+" + base64(bytes);
}

Result<VerifierKey> parse_vkey(std::string_view text) {
  const std::size_t first = text.find('+');
  const std::size_t second = first == std::string_view::npos ? first : text.find('+', first + 1);
  if (second == std::string_view::npos) return no_vkey(text);
  const auto bytes = from_base64(text.substr(second + 1));
  if (!bytes || bytes->size() != 33) return no_vkey(text);
  const auto sort = static_cast<KeySort>(bytes->front());
  if (sort != KeySort::signature && sort != KeySort::cosignature) return no_vkey(text);
  VerifierKey key{.name = std::string(text.substr(0, first)), .key = {}, .sort = sort};
  std::copy(bytes->begin() + 1, bytes->end(), key.key.begin());
  if (!is_key_name(key.name) || hex(key_id(key)) != text.substr(first + 1, second - first - 1)) return no_vkey(text);
  return key;
}

std::string sign_note(std::string_view text, const std::string& name, const crypto::SigningKey& key) {
  CHECK(!text.empty() && text.back() == '\n' && is_key_name(name));
  const auto id = key_id({name, key.public_key()});
  const auto signature = key.sign(as_bytes(text));
  Bytes bytes(id.begin(), id.end());
  bytes.insert(bytes.end(), signature.begin(), signature.end());
  return std::string(text) + "\n" + std::string(dash) + name + " " + base64(bytes) + "\n";
}

Result<Note> parse_note(std::string_view bytes) {
  if (bytes.size() > limits::note_bytes) return no_note(say("note.long", {{"found", std::to_string(bytes.size())}}));
  if (first_bad_utf8(bytes)) return no_note(say("note.not-text"));
  for (const char c : bytes) {
    if (static_cast<unsigned char>(c) < 0x20 && c != '\n') return no_note(say("note.control"));
  }
  const std::size_t gap = bytes.rfind("\n\n");
  if (gap == std::string_view::npos) return no_note(bytes);
  Note note{.text = std::string(bytes.substr(0, gap + 1)), .signatures = {}};
  std::string_view rest = bytes.substr(gap + 2);
  while (!rest.empty()) {
    const std::size_t end = rest.find('\n');
    if (end == std::string_view::npos || !rest.starts_with(dash)) return no_note(rest);
    std::string_view line = rest.substr(dash.size(), end - dash.size());
    rest.remove_prefix(end + 1);
    const std::size_t blank = line.find(' ');
    const auto raw = blank == std::string_view::npos ? std::nullopt : from_base64(line.substr(blank + 1));
    if (!raw || raw->size() < 5 || !is_key_name(line.substr(0, blank))) return no_note(line);
    NoteSignature signature{.name = std::string(line.substr(0, blank)), .id = {}, .signature = {}};
    std::copy(raw->begin(), raw->begin() + 4, signature.id.begin());
    signature.signature.assign(raw->begin() + 4, raw->end());
    if (note.signatures.size() == limits::note_signatures) return no_note(say("note.many-signatures"));
    note.signatures.push_back(std::move(signature));
  }
  if (note.signatures.empty()) return no_note(bytes);
  return note;
}

bool is_signed_by(const Note& note, const VerifierKey& key) {
  return std::any_of(note.signatures.begin(), note.signatures.end(),
                     [&](const NoteSignature& one) { return fits(note, one, key); });
}

std::string checkpoint_text(std::string_view origin, const Head& head) {
  return std::string(origin) + "\n" + std::to_string(head.size) + "\n" + base64(head.root) + "\n";
}

Result<Checkpoint> parse_checkpoint(const Note& note) {
  std::vector<std::string_view> lines;
  for (std::string_view rest = note.text; !rest.empty();) {
    const std::size_t end = rest.find('\n');
    lines.push_back(rest.substr(0, end));
    rest.remove_prefix(end + 1);
  }
  if (lines.size() < 3 || lines[0].empty()) return no_note(note.text);
  Checkpoint checkpoint{.origin = std::string(lines[0]), .head = {}};
  const auto read = std::from_chars(lines[1].data(), lines[1].data() + lines[1].size(), checkpoint.head.size);
  const auto root = from_base64(lines[2]);
  const bool plain =
      read.ec == std::errc() && std::to_string(checkpoint.head.size) == lines[1];  // one spelling is legal
  if (!plain || !root || root->size() != 32) return no_note(note.text);
  std::copy(root->begin(), root->end(), checkpoint.head.root.begin());
  return checkpoint;
}

}  // namespace trayproof::log
