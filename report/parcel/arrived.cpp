#include "report/parcel/arrived.h"

#include <algorithm>
#include <limits>

#include "ledger/base/limits.h"
#include "ledger/base/time.h"
#include "ledger/log/chain.h"
#include "ledger/words/words.h"
#include "report/evidence/check/file_hash.h"
#include "report/parcel/format.h"

namespace trayproof::parcel {
namespace {

bool is_member(std::string_view name) {
  return name == about_member || name == growth_member || name == entries_member;
}

constexpr evidence::ArchiveSort parcel_archive{&is_member, "parcel.refused", "parcel.foreign-member"};

Error refused(const std::string& why) { return {ErrorCode::invalid, say("parcel.refused", {{"why", why}})}; }

template <typename T>
Result<T> in(std::string_view member, Result<T> read) {
  if (!read.ok()) return refused(std::string(member) + ": " + read.error().sentence());
  return read;
}

// The ledger key in force at the parcel's end.
const std::string* ledger_key_of(const evidence::EntryWalk& walk) {
  const std::string* found = nullptr;
  std::int64_t added = 0;
  for (const auto& [key, known] : walk.keys()) {
    if (known.sort == "ledger" && known.added > added) found = &key, added = known.added;
  }
  return found;
}

std::optional<Wrong> first_of(const evidence::Problems& problems) {
  std::optional<Wrong> first;
  constexpr auto last = std::numeric_limits<std::int64_t>::max();
  for (const evidence::Problem& one : problems.kept()) {
    if (first && one.seq.value_or(last) >= first->seq.value_or(last)) continue;
    first = Wrong{.seq = one.seq, .what = one.what};
  }
  return first;
}

// The character 0, which canonical JSON can hold and databases' texts cannot.
bool holds_zero(const json::Value& value) {
  if (value.is_text()) return value.text().find('\0') != std::string::npos;
  if (value.is_list()) return std::any_of(value.items().begin(), value.items().end(), holds_zero);
  if (!value.is_object()) return false;
  return std::any_of(value.members().begin(), value.members().end(), [](const json::Member& one) {
    return one.name.find('\0') != std::string::npos || holds_zero(one.value);
  });
}

// Why an entry that holds cannot be kept all the same; a ledger's own program makes none such.
std::optional<std::string> why_not_kept(const evidence::Entry& entry) {
  if (!entry.recorded) return say("parcel.no-recorded");
  // Canonical JSON spells it in one way only, which a text that shows that spelling may hold too.
  if (entry.bytes.find("\\u0000") != std::string::npos && holds_zero(entry.event())) return say("parcel.zero");
  return std::nullopt;
}

}  // namespace

Result<Arrived> Arrived::open(const std::string& path) {
  TRY_LET(auto archive, evidence::Archive::open(path, parcel_archive));
  TRY_LET(const Digest sha256, evidence::sha256_of_file(path));
  Arrived arrived(std::move(archive), hex(sha256));
  TRY(arrived.read_about());
  return arrived;
}

Result<void> Arrived::read_about() {
  for (const std::string_view name : {about_member, growth_member, entries_member}) {
    if (!archive_.has(name)) return refused(std::string(name) + ": " + say("evidence.member-missing"));
  }
  TRY_LET(const std::string text, in(about_member, archive_.text(about_member, limits::note_bytes)));
  TRY_LET(const json::Value about, in(about_member, json::parse(text)));
  if (about.text_at("format") != format_name) return refused(say("parcel.other-format", {{"format", format_name}}));
  TRY_LET(const std::string proof, in(growth_member, archive_.text(growth_member, limits::proof_bytes)));
  TRY_LET(growth_, in(growth_member, log::parse_consistency_proof(proof)));
  TRY_LET(const auto note, in(growth_member, log::parse_note(growth_.checkpoint)));
  TRY_LET(const auto checkpoint, in(growth_member, log::parse_checkpoint(note)));
  const auto word = [&](std::string_view name) { return std::string(about.text_at(name).value_or("")); };
  about_ = {.ledger = word("ledger"),
            .origin = checkpoint.origin,
            .made = word("made"),
            .since = static_cast<std::int64_t>(growth_.older_size),
            .head = checkpoint.head,
            .checkpoint = growth_.checkpoint};
  constexpr std::uint64_t seq_max = 999'999'999'999'999;  // docs/ledger-format.md, "Values"
  const bool as_told = is_hex(about_.ledger, 16) && about_.origin == "trayproof/" + about_.ledger &&
                       about.number_at("since") == static_cast<double>(growth_.older_size) &&
                       about.number_at("size") == static_cast<double>(about_.head.size) &&
                       about.text_at("root") == hex(about_.head.root);
  if (!as_told || about_.head.size > seq_max || growth_.older_size > about_.head.size || about_.head.size == 0)
    return refused(say("parcel.other-checkpoint"));
  return {};
}

Result<std::optional<std::string>> Arrived::first_prev() const {
  TRY_LET(auto lines, archive_.reader(entries_member));
  const auto line = lines.line(limits::pack_line_bytes);
  if (!line.ok() || !line.value()) return std::optional<std::string>();
  const auto row = json::parse(*line.value());
  const auto entry = row.ok() ? row.value().text_at("entry") : std::nullopt;
  return entry ? std::optional(std::string(log::named_prev(*entry))) : std::optional<std::string>();
}

Result<Walked> Arrived::walk(const Before& before, const Visit& visit) const {
  Walked walked;
  walked.last_hash = before.last_hash;
  evidence::Problems problems;
  evidence::EntryWalk walk(entries_member, evidence::EntryWalk::Extent::whole, problems);
  for (const auto& [seq, event] : before.kept) walk.know(seq, event);
  walk.goes_on(about_.since, before.last_hash);
  PeakTree tree = before.tree;
  TRY_LET(auto lines, archive_.reader(entries_member));
  lines.read_ahead();
  const auto stopped = [&](std::optional<std::int64_t> seq, std::string what) {
    walked.wrong = Wrong{.seq = seq, .what = std::move(what)};
    return walked;
  };
  while (true) {
    const auto line = lines.line(limits::pack_line_bytes);
    if (!line.ok()) return stopped(static_cast<std::int64_t>(tree.size()) + 1, line.error().sentence());
    if (!line.value()) break;
    const evidence::Entry* const entry = walk.take(*line.value());
    if (problems.count() > 0) {
      walked.wrong = first_of(problems);
      if (!walked.wrong->seq) walked.wrong->seq = static_cast<std::int64_t>(tree.size()) + 1;
      return walked;
    }
    if (tree.size() == about_.head.size)
      return stopped(entry->seq, say("parcel.past-checkpoint", {{"size", std::to_string(about_.head.size)}}));
    if (auto why = why_not_kept(*entry)) return stopped(entry->seq, std::move(*why));
    tree.add(entry->hash);
    if (walk.entries() == 1) walked.first_hash = entry->hash;
    walked.last_hash = entry->hash;
    TRY(visit(*entry));
  }
  walk.finish();
  walked.entries = walk.entries();
  walked.signatures = walk.signatures();
  if (problems.count() > 0) {
    walked.wrong = first_of(problems);
    return walked;
  }
  if (walk.ledger() != about_.ledger) return stopped(1, say("evidence.other-ledger"));
  if (tree.size() != about_.head.size) {
    return stopped(static_cast<std::int64_t>(tree.size()) + 1,
                   say("parcel.short", {{"size", std::to_string(about_.head.size)}}));
  }
  const std::string* key = ledger_key_of(walk);
  log::VerifierKey verifier{.name = about_.origin, .key = {}};
  if (key == nullptr || !from_hex(*key, verifier.key))
    return stopped(std::nullopt, say("evidence.unsigned-checkpoint"));
  walked.ledger_key = *key;
  const log::Head older{.size = static_cast<std::uint64_t>(about_.since), .root = before.tree.root()};
  const log::ProofState proved = log::check(growth_, older, verifier);
  if (proved == log::ProofState::not_signed) return stopped(std::nullopt, say("evidence.unsigned-checkpoint"));
  if (tree.root() != about_.head.root)
    return stopped(std::nullopt, say("proof.other-root", {{"size", std::to_string(about_.head.size)}}));
  if (proved != log::ProofState::holds) return stopped(std::nullopt, log::sentence_of(proved));
  walked.tree = std::move(tree);
  return walked;
}

}  // namespace trayproof::parcel
