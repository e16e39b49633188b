// Cosignatures of C2SP tlog-cosignature (cosignature/v1, Ed25519): a witness says that at some time it knew a
// checkpoint of this size and root as the largest of this ledger. Pure; docs/checkpoint-format.md shows the bytes.
//
//   — <name> <base64(4-byte key id || 8-byte big-endian POSIX seconds || 64-byte signature)> LF
//
// The signature covers `cosignature/v1` LF `time <seconds>` LF and the note's text.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/log/note.h"

namespace trayproof::log {

// The signature line that a witness adds under a checkpoint.
std::string cosign(std::string_view text, const std::string& name, const crypto::SigningKey& key,
                   std::uint64_t posix_seconds);

// What one signature under a note is, as far as the keys at hand tell.
enum class Standing {
  fits,       // of a known key, and it covers this text
  differs,    // of a known key, and it does not
  unchecked,  // of a key that is not known
  other_key,  // under the name of a witness that is known, and made with another key than that witness's
};
struct SignatureFound {
  std::string name;
  std::string id;  // the key's, in hex
  Standing standing = Standing::unchecked;
  bool cosignature = false;                    // by a known witness's key
  std::optional<std::uint64_t> posix_seconds;  // when a cosignature that fits was made
};
// Every signature under the note, in its order.
std::vector<SignatureFound> signatures_of(const Note& note, const std::vector<VerifierKey>& known);

// The note's bytes. Writing what was parsed gives the same bytes.
std::string to_text(const Note& note);
// Adds those signatures of `other` that `note` does not have; how many those were. Both have the same text.
std::size_t add_signatures(Note& note, const Note& other);

}  // namespace trayproof::log
