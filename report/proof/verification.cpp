#include "report/proof/verification.h"

#include "importer/kept_check.h"
#include "ledger/base/check.h"
#include "ledger/links/links.h"
#include "ledger/words/words.h"
#include "report/proof/signatures.h"

namespace trayproof::proof {

using json::Value;

std::string_view state_of(const CheckpointFound& one) {
  switch (one.state) {
    case CheckpointFound::State::holds:
      return "holds";
    case CheckpointFound::State::unreadable:
      return "unreadable";
    case CheckpointFound::State::other_ledger:
      return "other-ledger";
    case CheckpointFound::State::not_signed:
      return "not-signed";
    case CheckpointFound::State::other_history:
      return "other-history";
    case CheckpointFound::State::older_copy:
      return "older-copy";
    case CheckpointFound::State::declared_lost:
      return "declared-lost";
  }
  CHECK(false);
  return {};
}

std::string lost_line(const CheckpointFound& one) {
  const CheckpointFound::Loss loss = one.loss.value_or(CheckpointFound::Loss{});
  return say("checkpoint.outside-lost", {{"size", std::to_string(one.head.size)},
                                         {"seq", std::to_string(loss.seq)},
                                         {"restored", std::to_string(loss.restored_size)}});
}

namespace {

Result<std::optional<links::Difference>> check_tables(const Ledger& ledger) {
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  return tables.same_as_fresh();
}

// Kept curves are held against the exports that they were made from.
Result<void> check_curves(Ledger& ledger, Verification& found) {
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  TRY_LET(const auto faults, importer::check_kept(ledger, tables));
  for (const importer::KeptFault& one : faults) found.problems.push_back({one.curve, one.what});
  return {};
}

Value checkpoints_json(const Verification& found, const Zone& zone) {
  Value all = Value::list();
  for (const CheckpointFound& one : found.checkpoint_states) {
    Value signatures = Value::list();
    for (const log::SignatureFound& signature : one.signatures) signatures.push(signature_json(signature, zone));
    all.push(Value::object()
                 .set("size", one.head.size)
                 .set("root", hex(one.head.root))
                 .set("given", one.source == CheckpointFound::Source::outside)
                 .set("state", state_of(one))
                 .set("declared_by", one.loss ? Value(one.loss->seq) : Value())
                 .set("signatures", std::move(signatures)));
  }
  return all;
}

}  // namespace

Verification unreadable(const Error& error) {
  Verification found;
  found.read = false;
  found.with_keys = false;
  found.problems.push_back({std::nullopt, error.sentence()});
  return found;
}

OpenedToVerify open_to_verify(Result<Ledger> opened, const std::string& path, Clock& clock) {
  if (opened.ok()) return {std::move(opened), {}};
  const auto keys = people::KeyFile::read(people::key_path(path));
  if (!keys.ok() && keys.error().code() == ErrorCode::missing) return {std::move(opened), {}};
  auto bare = Ledger::open_with(path, std::nullopt, clock, store::Access::read);
  if (!bare.ok() && bare.error().code() != ErrorCode::corrupt) return {std::move(opened), {}};
  if (!keys.ok()) return {std::move(bare), keys.error().sentence()};
  if (!bare.ok() || keys.value().ledger == bare.value().ledger_id()) return {std::move(opened), {}};
  return {std::move(bare), say("keys.other-ledger", {{"path", people::key_path(path)}})};
}

std::string key_file_line(const Verification& found) {
  return say("command.verify-key-file", {{"why", found.key_file.value_or("")}});
}

std::vector<std::string> checked_lines(const Verification& found) {
  if (!found.read) return {};
  std::vector<std::string> lines = {say("command.verify-what", {{"signatures", std::to_string(found.signatures)},
                                                                {"before", std::to_string(found.signed_before)},
                                                                {"checkpoints", std::to_string(found.checkpoints)},
                                                                {"removed", std::to_string(found.removed_texts)}})};
  lines.push_back(say(found.tables ? "command.verify-tables" : "command.verify-no-tables"));
  if (!found.with_keys) lines.push_back(say("command.verify-no-keys"));
  if (!found.whole) lines.push_back(say("command.verify-not-whole"));
  for (const Problem& one : found.notes) {
    lines.push_back(say("command.verify-note", {{"seq", one.seq ? std::to_string(*one.seq) : ""}, {"what", one.what}}));
  }
  return lines;
}

std::string_view headline(const Verification& found) {
  if (!found.read) return "command.verify-unread";
  if (!found.problems.empty()) return "command.not-verified";
  return found.key_file ? "command.verified-without-keys" : "command.verified";
}

Value to_json(const Verification& found, const Zone& zone, double seconds) {
  Value problems = Value::list();
  for (const Problem& one : found.problems) {
    problems.push(Value::object().set("seq", one.seq ? Value(*one.seq) : Value()).set("what", one.what));
  }
  Value notes = Value::list();
  for (const Problem& one : found.notes)
    notes.push(Value::object().set("seq", one.seq ? Value(*one.seq) : Value()).set("what", one.what));
  if (found.key_file) problems.push(Value::object().set("seq", Value()).set("what", key_file_line(found)));
  const auto digest = [&](const Digest& one) { return found.events > 0 ? Value(hex(one)) : Value(); };
  return Value::object()
      .set("ok", found.holds())
      .set("events", found.events)
      .set("head", digest(found.head))
      .set("root", digest(found.root))
      .set("checkpoints", found.checkpoints)
      .set("problems", std::move(problems))
      .set("seconds", seconds)
      .set("checkpoint_states", checkpoints_json(found, zone))
      .set("notes", std::move(notes))
      .set("read", found.read)
      .set("with_keys", found.with_keys);
}

Result<Verification> verify_all(Ledger& ledger, const VerifyOptions& options) {
  auto found = verify(ledger, options);
  if (!found.ok() && found.error().code() == ErrorCode::corrupt) return unreadable(found.error());
  if (!found.ok()) return found;
  // Derived tables of a record that does not hold would only repeat its faults.
  if (!found.value().problems.empty()) return found;
  TRY_LET(const auto difference, check_tables(ledger));
  found.value().tables = true;
  if (difference) {
    const std::string where = difference->table + ": " + difference->row;
    found.value().problems.push_back({std::nullopt, say("command.derived-differ", {{"found", where}})});
  }
  if (options.depth == Depth::full) TRY(check_curves(ledger, found.value()));
  return found;
}

}  // namespace trayproof::proof
