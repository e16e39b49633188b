#include "ledger/log/proof.h"

#include <algorithm>
#include <charconv>

#include "ledger/base/check.h"
#include "ledger/base/limits.h"
#include "ledger/base/utf8.h"
#include "ledger/words/words.h"

namespace trayproof::log {
namespace {

constexpr std::string_view first_line = "c2sp.org/tlog-proof@v1";

Error no_proof(std::string_view key, std::string_view found) {
  return {ErrorCode::invalid, say(key, {{"found", shortened(found, 60)}})};
}

// Takes the next line off, without its LF; nothing when no LF is left.
std::optional<std::string_view> next_line(std::string_view& rest) {
  const std::size_t end = rest.find('\n');
  if (end == std::string_view::npos) return std::nullopt;
  const std::string_view line = rest.substr(0, end);
  rest.remove_prefix(end + 1);
  return line;
}

// One spelling of a number is legal: no sign, no leading zero.
std::optional<std::uint64_t> number_after(std::string_view line, std::string_view word) {
  if (!line.starts_with(word)) return std::nullopt;
  line.remove_prefix(word.size());
  std::uint64_t number = 0;
  const auto read = std::from_chars(line.data(), line.data() + line.size(), number);
  if (read.ec != std::errc() || std::to_string(number) != line) return std::nullopt;
  return number;
}

void put_path(std::string& text, const Proof& path, std::string_view checkpoint) {
  for (const Digest& hash : path) text += base64(hash) + "\n";
  text += "\n";
  text += checkpoint;
}

// The hashes up to the empty line, then the checkpoint, which is only looked at as far as its form goes.
Result<Proof> take_path(std::string_view& rest, std::string_view broken) {
  Proof path;
  while (true) {
    const auto line = next_line(rest);
    if (!line) return no_proof(broken, rest);
    if (line->empty()) break;
    const auto hash = from_base64(*line);
    if (!hash || hash->size() != Digest{}.size()) return no_proof(broken, *line);
    if (path.size() == limits::proof_hashes) return no_proof("proof.long", std::to_string(limits::proof_hashes));
    std::copy(hash->begin(), hash->end(), path.emplace_back().begin());
  }
  TRY_LET(const auto note, parse_note(rest));
  TRY(parse_checkpoint(note));
  return path;
}

struct SignedHead {
  ProofState state = ProofState::holds;
  Head head;
};

SignedHead signed_head(std::string_view checkpoint, const VerifierKey& key) {
  const auto note = parse_note(checkpoint);
  if (!note.ok()) return {ProofState::no_checkpoint, {}};
  const auto read = parse_checkpoint(note.value());
  if (!read.ok()) return {ProofState::no_checkpoint, {}};
  if (!is_signed_by(note.value(), key)) return {ProofState::not_signed, {}};
  if (read.value().origin != key.name) return {ProofState::other_origin, {}};
  return {ProofState::holds, read.value().head};
}

}  // namespace

std::string to_text(const InclusionProof& proof) {
  std::string text(first_line);
  text += "\n";
  if (proof.extra) text += "extra " + base64(*proof.extra) + "\n";
  text += "index " + std::to_string(proof.index) + "\n";
  put_path(text, proof.path, proof.checkpoint);
  return text;
}

std::string to_text(const ConsistencyProof& proof) {
  std::string text = "old " + std::to_string(proof.older_size) + "\n";
  put_path(text, proof.path, proof.checkpoint);
  return text;
}

Result<InclusionProof> parse_inclusion_proof(std::string_view bytes) {
  constexpr std::string_view broken = "proof.inclusion-form";
  if (bytes.size() > limits::proof_bytes) return no_proof("proof.long", std::to_string(limits::proof_bytes));
  std::string_view rest = bytes;
  if (next_line(rest) != first_line) return no_proof(broken, bytes);
  InclusionProof proof;
  auto line = next_line(rest);
  if (line && line->starts_with("extra ")) {
    proof.extra = from_base64(line->substr(6));
    if (!proof.extra) return no_proof(broken, *line);
    line = next_line(rest);
  }
  const auto index = line ? number_after(*line, "index ") : std::nullopt;
  if (!index) return no_proof(broken, line.value_or(rest));
  proof.index = *index;
  TRY_LET(proof.path, take_path(rest, broken));
  proof.checkpoint = rest;
  return proof;
}

Result<ConsistencyProof> parse_consistency_proof(std::string_view bytes) {
  constexpr std::string_view broken = "proof.consistency-form";
  if (bytes.size() > limits::proof_bytes) return no_proof("proof.long", std::to_string(limits::proof_bytes));
  std::string_view rest = bytes;
  const auto line = next_line(rest);
  const auto size = line ? number_after(*line, "old ") : std::nullopt;
  if (!size) return no_proof(broken, bytes);
  ConsistencyProof proof{.older_size = *size, .path = {}, .checkpoint = {}};
  TRY_LET(proof.path, take_path(rest, broken));
  proof.checkpoint = rest;
  return proof;
}

std::string sentence_of(ProofState state) {
  switch (state) {
    case ProofState::holds:
      return say("proof.holds");
    case ProofState::no_checkpoint:
      return say("proof.no-checkpoint");
    case ProofState::not_signed:
      return say("proof.not-signed");
    case ProofState::other_origin:
      return say("proof.other-origin");
    case ProofState::not_in_tree:
      return say("proof.not-in-tree");
  }
  CHECK(false);
  return {};
}

ProofState check(const InclusionProof& proof, const Digest& leaf_hash, const VerifierKey& key) {
  const SignedHead signed_by = signed_head(proof.checkpoint, key);
  if (signed_by.state != ProofState::holds) return signed_by.state;
  const Head& head = signed_by.head;
  return check_inclusion(leaf_hash, proof.index, head.size, head.root, proof.path) ? ProofState::holds
                                                                                   : ProofState::not_in_tree;
}

ProofState check(const ConsistencyProof& proof, const Head& older, const VerifierKey& key) {
  const SignedHead signed_by = signed_head(proof.checkpoint, key);
  if (signed_by.state != ProofState::holds) return signed_by.state;
  if (proof.older_size != older.size) return ProofState::not_in_tree;
  const bool holds = older.size == 0 ? proof.path.empty() && older.root == root_of({})
                                     : check_consistency(older, signed_by.head, proof.path);
  return holds ? ProofState::holds : ProofState::not_in_tree;
}

}  // namespace trayproof::log
