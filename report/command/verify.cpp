#include "ledger/verify.h"

#include <algorithm>

#include "importer/kept_check.h"
#include "ledger/links/links.h"
#include "ledger/words/words.h"
#include "report/command/signatures.h"
#include "report/command/verbs.h"

namespace trayproof::command {

using json::Value;

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

// A file so damaged that it cannot be read is a record that does not hold, not a failure of this machine.
Verification unreadable(const Error& error) {
  Verification found;
  found.problems.push_back({std::nullopt, error.sentence()});
  return found;
}

Value verification_json(const Verification& found, double seconds) {
  Value problems = Value::list();
  for (const Problem& one : found.problems) {
    problems.push(Value::object().set("seq", one.seq ? Value(*one.seq) : Value()).set("what", one.what));
  }
  return Value::object()
      .set("ok", found.problems.empty())
      .set("events", found.events)
      .set("head", hex(found.head))
      .set("root", hex(found.root))
      .set("checkpoints", found.checkpoints)
      .set("problems", std::move(problems))
      .set("seconds", seconds);
}

// What a script is told of one checkpoint (docs/json-shapes.md).
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
  }
  CHECK(false);
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
                 .set("signatures", std::move(signatures)));
  }
  return all;
}

// The last one kept with who signed it, and those given that hold; what does not hold stands among the problems.
void print_checkpoints(const Context& context, const Verification& found, const Zone& zone) {
  const CheckpointFound* last = nullptr;
  for (const CheckpointFound& one : found.checkpoint_states) {
    const std::string size = std::to_string(one.head.size);
    if (one.source == CheckpointFound::Source::kept) {
      last = &one;
    } else if (one.state == CheckpointFound::State::holds) {
      context.line(say("checkpoint.outside-holds", {{"size", size}}));
      for (const log::SignatureFound& signature : one.signatures) context.line("  " + signature_line(signature, zone));
    }
  }
  if (last == nullptr) return;
  context.line(say("checkpoint.last", {{"size", std::to_string(last->head.size)}}));
  for (const log::SignatureFound& signature : last->signatures) context.line("  " + signature_line(signature, zone));
}

void print_verification(const Context& context, const Verification& found, const Zone& zone, bool full) {
  const bool ok = found.problems.empty();
  for (const Problem& one : found.problems) {
    context.line(one.seq ? say("command.problem-seq", {{"seq", std::to_string(*one.seq)}, {"what", one.what}})
                         : say("command.problem", {{"what", one.what}}));
  }
  context.line(say(ok ? "command.verified" : "command.not-verified",
                   {{"events", count_text(found.events)}, {"problems", std::to_string(found.problems.size())}}));
  context.line(say("command.verify-what", {{"signatures", count_text(found.signatures)},
                                           {"before", count_text(found.signed_before)},
                                           {"checkpoints", count_text(found.checkpoints)},
                                           {"removed", count_text(found.removed_texts)}}));
  if (full) context.line(say("command.verify-attachments", {{"attachments", count_text(found.attachments)}}));
  context.line(say("command.verify-head", {{"head", hex(found.head)}, {"root", hex(found.root)}}));
  print_checkpoints(context, found, zone);
  const bool held_against_paper =
      std::any_of(found.checkpoint_states.begin(), found.checkpoint_states.end(),
                  [](const CheckpointFound& one) { return one.source == CheckpointFound::Source::outside; });
  if (ok && !held_against_paper) context.line(say("command.verify-limits"));
}

Result<Verification> verify_all(Ledger& ledger, const VerifyOptions& options) {
  auto found = verify(ledger, options);
  if (!found.ok() && found.error().code() == ErrorCode::corrupt) return unreadable(found.error());
  if (!found.ok()) return found;
  // Derived tables of a record that does not hold would only repeat its faults.
  if (!found.value().problems.empty()) return found;
  TRY_LET(const auto difference, check_tables(ledger));
  if (difference) {
    const std::string where = difference->table + ": " + difference->row;
    found.value().problems.push_back({std::nullopt, say("command.derived-differ", {{"found", where}})});
  }
  if (options.depth == Depth::full) TRY(check_curves(ledger, found.value()));
  return found;
}

// Files are read before the record is, so that a name mistyped costs no minutes.
Result<VerifyOptions> asked_for(const VerifyRecordOptions& options) {
  VerifyOptions asked{.depth = options.full ? Depth::full : Depth::usual};
  for (const std::string& file : options.checkpoints) {
    TRY_LET(auto text, read_checkpoint(file));
    const auto note = log::parse_note(text);
    if (!note.ok()) return Error(note.error()).during(file);
    const auto checkpoint = log::parse_checkpoint(note.value());
    if (!checkpoint.ok()) return Error(checkpoint.error()).during(file);
    asked.outside.push_back(std::move(text));
  }
  TRY_LET(asked.witnesses, witness_keys(options.witness_keys));
  return asked;
}

}  // namespace

Status verify_record(const Context& context, const VerifyRecordOptions& options) {
  const double began = context.clock.seconds();
  const auto asked = asked_for(options);
  if (!asked.ok()) return context.fail(asked.error());
  auto ledger = context.open(store::Access::write);
  Result<Verification> found = ledger.ok() ? verify_all(ledger.value(), asked.value())
                               : ledger.error().code() == ErrorCode::corrupt
                                   ? Result<Verification>(unreadable(ledger.error()))
                                   : Result<Verification>(ledger.error());
  if (!found.ok()) return context.fail(found.error());
  // A record that does not hold may not tell its zone either.
  const auto facility = ledger.ok() ? facility_of(ledger.value()) : Result<Facility>(ledger.error());
  const Zone zone = facility.ok() ? facility.value().zone : Zone::utc();
  if (context.json) {
    Value answer = verification_json(found.value(), context.clock.seconds() - began);
    context.print(answer.set("checkpoint_states", checkpoints_json(found.value(), zone)));
  } else {
    print_verification(context, found.value(), zone, options.full);
  }
  return found.value().problems.empty() ? Status::done : Status::does_not_hold;
}

Status rebuild(const Context& context) {
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  const double began = context.clock.seconds();
  auto tables = links::Links::open(ledger.value());
  if (!tables.ok()) return context.fail(tables.error());
  const auto rebuilt = tables.value().rebuild();
  if (!rebuilt.ok()) return context.fail(rebuilt.error());
  if (ledger.value().may_write().ok()) {
    const auto kept = importer::keep_again(ledger.value(), tables.value());
    if (!kept.ok()) return context.fail(kept.error());
  }
  const auto head = ledger.value().head();
  if (!head.ok()) return context.fail(head.error());
  const double seconds = context.clock.seconds() - began;
  if (context.json) {
    context.print(Value::object().set("events", head.value().seq).set("seconds", seconds));
  } else {
    context.line(say("command.rebuilt", {{"events", count_text(head.value().seq)}}));
  }
  return Status::done;
}

}  // namespace trayproof::command
