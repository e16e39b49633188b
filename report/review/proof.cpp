// The record's own proof: size, root, head, the newest signed checkpoint, and the keys.
#include "ledger/words/words.h"
#include "report/review/material.h"

namespace trayproof::review {
namespace {

// The checkpoint of the greatest size that is not beyond `size`.
Result<std::string> newest_checkpoint(const Ledger& ledger, std::int64_t size) {
  std::string newest;
  std::uint64_t newest_size = 0;
  TRY_LET(const auto notes, ledger.checkpoints());
  for (const std::string& note : notes) {
    const auto parsed = log::parse_note(note);
    if (!parsed.ok()) continue;
    const auto checkpoint = log::parse_checkpoint(parsed.value());
    if (!checkpoint.ok()) continue;
    const auto signed_size = static_cast<std::uint64_t>(checkpoint.value().head.size);
    if (signed_size > static_cast<std::uint64_t>(size) || signed_size < newest_size) continue;
    newest_size = signed_size;
    newest = note;
  }
  return newest;
}

std::string state_of(const Material& material, std::string_view key) {
  for (const gaps::Record& retired : material.facts.of("key-retired")) {
    if (retired.text("public") != key) continue;
    const auto since = retired.time("since");
    return say("review.key-retired",
               {{"day", material.day(since ? since->at : retired.at.at)}, {"cause", spelled_here(retired.text("cause"), "review.cause-")}});
  }
  return say("review.key-in-use");
}

}  // namespace

Result<workbook::Proof> proof_of(const Material& material) {
  const std::int64_t size = material.tables.known_at();
  workbook::Proof proof;
  proof.origin = material.ledger.origin();
  proof.size = size;
  TRY_LET(const auto tree, material.ledger.tree_head(size));
  proof.root = hex(tree.root);
  TRY_LET(const auto last, material.ledger.entry(size));
  proof.head = hex(last.hash);
  TRY_LET(proof.checkpoint, newest_checkpoint(material.ledger, size));
  if (proof.checkpoint.empty()) proof.checkpoint = say("review.no-checkpoint");
  proof.ledger_key = log::vkey(material.ledger.ledger_key());
  for (const gaps::Record& added : material.facts.of("key-added")) {
    proof.keys.push_back({std::string(added.text("public")), std::string(added.text("owner")),
                          std::string(added.text("sort")), state_of(material, added.text("public"))});
  }
  return proof;
}

}  // namespace trayproof::review
