#include "report/evidence/check/anchors.h"

#include <algorithm>
#include <set>

#include "ledger/base/limits.h"
#include "ledger/crypto/sign.h"
#include "ledger/log/proof.h"
#include "ledger/words/words.h"
#include "report/evidence/check/format.h"

namespace trayproof::evidence {
namespace {

log::VerifierKey verifier(const std::string& origin, const std::string& key) {
  log::VerifierKey out{.name = origin, .key = {}};
  static_cast<void>(from_hex(key, out.key));  // an entry's key that is none signs nothing
  return out;
}

// A later ledger key is worth as much as the one before it that co-signed it.
std::set<std::string> trusted_from(const std::string& first, const std::map<std::string, KnownKey>& keys) {
  std::set<std::string> trusted;
  if (keys.contains(first)) trusted.insert(first);
  for (bool grown = true; grown;) {
    grown = false;
    for (const auto& [key, known] : keys) {
      const auto signature = from_hex(known.cosigned);
      if (known.sort != "ledger" || trusted.contains(key) || !signature) continue;
      const bool cosigned = std::any_of(trusted.begin(), trusted.end(), [&](const std::string& one) {
        crypto::PublicKey public_key{};
        return from_hex(one, public_key) && crypto::check_signature(public_key, as_bytes(known.proved), *signature);
      });
      if (cosigned) grown = trusted.insert(key).second;
    }
  }
  return trusted;
}

void hold_against_key(const log::VerifierKey& given, const Shown& shown, Problems& problems, Checked& checked) {
  const std::string key = hex(given.key);
  const auto known = shown.keys.find(key);
  const bool is_ledger_key = known != shown.keys.end() && known->second.sort == "ledger";
  if (given.name != shown.checkpoint.origin || !is_ledger_key)
    return problems.add(checkpoint_member, say("evidence.key-of-another"));
  for (const std::string& one : trusted_from(key, shown.keys)) {
    if (!log::is_signed_by(shown.note, verifier(given.name, one))) continue;
    checked.by_key = true;
    return;
  }
  problems.add(checkpoint_member, say("evidence.not-signed-by-key"));
}

// Whether the earlier state goes over into the pack's; nothing when the pack cannot tell.
std::optional<bool> grew_from(const log::Head& earlier, const Shown& shown) {
  if (const auto root = shown.root_at(earlier.size)) return *root == earlier.root;
  const std::string name = std::string(consistency_folder) + std::to_string(earlier.size) + ".txt";
  const auto text = shown.archive.text(name, limits::proof_bytes);
  if (!text.ok()) return std::nullopt;
  const auto proof = log::parse_consistency_proof(text.value());
  if (!proof.ok() || proof.value().older_size != earlier.size) return false;
  return log::check_consistency(earlier, shown.checkpoint.head, proof.value().path);
}

void hold_against_checkpoint(const std::string& given, const Shown& shown, Problems& problems, Checked& checked) {
  // Later states come with the proof that leads to them.
  const auto growth = log::parse_consistency_proof(given);
  const auto note = log::parse_note(growth.ok() ? growth.value().checkpoint : given);
  const auto read = note.ok() ? log::parse_checkpoint(note.value()) : Result<log::Checkpoint>(note.error());
  if (!read.ok()) return checked.open.push_back(say("evidence.anchor-unread", {{"why", read.error().sentence()}}));
  const log::Checkpoint& other = read.value();
  const std::uint64_t size = shown.checkpoint.head.size;
  // Neither the record's word nor against it: the record itself says that it went on from before this state.
  for (const DeclaredLoss& one : shown.losses) {
    if (other.origin != shown.checkpoint.origin || one.lost.size != other.head.size ||
        one.lost.root != other.head.root || one.restored_size >= other.head.size)
      continue;
    return checked.open.push_back(say("evidence.declared-lost", {{"size", std::to_string(other.head.size)},
                                                                 {"seq", std::to_string(one.seq)},
                                                                 {"restored", std::to_string(one.restored_size)}}));
  }
  if (other.origin != shown.checkpoint.origin || signer_of(note.value(), other.origin, shown.keys) == nullptr)
    return problems.add(checkpoint_member, say("evidence.checkpoint-of-another"));
  std::optional<bool> same;
  if (other.head.size == size) {
    same = other.head.root == shown.checkpoint.head.root;
  } else if (other.head.size < size) {
    same = grew_from(other.head, shown);
  } else if (growth.ok() && growth.value().older_size == size) {
    same = log::check_consistency(shown.checkpoint.head, other.head, growth.value().path);
  }
  const std::string sizes = std::to_string(other.head.size);
  if (!same)
    return checked.open.push_back(say(other.head.size < size ? "evidence.earlier-open" : "evidence.later-open",
                                      {{"size", sizes}, {"pack", std::to_string(size)}}));
  if (!*same) return problems.add(checkpoint_member, say("evidence.another-history", {{"size", sizes}}));
  checked.by_checkpoint = true;
}

}  // namespace

const std::string* signer_of(const log::Note& note, const std::string& origin,
                             const std::map<std::string, KnownKey>& keys) {
  for (const auto& [key, known] : keys) {
    if (known.sort == "ledger" && log::is_signed_by(note, verifier(origin, key))) return &key;
  }
  return nullptr;
}

void hold_against(const Anchor& anchor, const Shown& shown, Problems& problems, Checked& checked) {
  if (anchor.ledger_key) hold_against_key(*anchor.ledger_key, shown, problems, checked);
  if (anchor.checkpoint) hold_against_checkpoint(*anchor.checkpoint, shown, problems, checked);
}

}  // namespace trayproof::evidence
