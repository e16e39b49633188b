#include "ledger/verify.h"

#include <algorithm>

#include "importer/kept_check.h"
#include "ledger/links/links.h"
#include "ledger/words/words.h"
#include "report/command/signatures.h"
#include "report/command/verbs.h"
#include "report/proof/signatures.h"
#include "report/proof/verification.h"

namespace trayproof::command {

using json::Value;

namespace {

// The last one kept with who signed it, and those given that hold; what does not hold stands among the problems.
void print_checkpoints(const Context& context, const Verification& found, const Zone& zone) {
  const CheckpointFound* last = nullptr;
  for (const CheckpointFound& one : found.checkpoint_states) {
    const std::string size = std::to_string(one.head.size);
    if (one.source == CheckpointFound::Source::kept) {
      last = &one;
    } else if (one.state == CheckpointFound::State::holds) {
      context.line(say("checkpoint.outside-holds", {{"size", size}}));
      for (const log::SignatureFound& signature : one.signatures)
        context.line("  " + proof::signature_line(signature, zone));
    } else if (one.loss && one.loss->confirmed) {
      context.line(proof::lost_line(one));
    }
  }
  if (last == nullptr) return;
  context.line(say("checkpoint.last", {{"size", std::to_string(last->head.size)}}));
  for (const log::SignatureFound& signature : last->signatures)
    context.line("  " + proof::signature_line(signature, zone));
}

void print_verification(const Context& context, const Verification& found, const Zone& zone, bool full) {
  for (const Problem& one : found.problems) {
    context.line(one.seq ? say("command.problem-seq", {{"seq", std::to_string(*one.seq)}, {"what", one.what}})
                         : say("command.problem", {{"what", one.what}}));
  }
  if (found.key_file) context.line(proof::key_file_line(found));
  context.line(say(proof::headline(found),
                   {{"events", count_text(found.events)}, {"problems", std::to_string(found.problems.size())}}));
  if (!found.read) return;
  for (const std::string& line : proof::checked_lines(found)) context.line(line);
  if (full) context.line(say("command.verify-attachments", {{"attachments", count_text(found.attachments)}}));
  if (found.events > 0)
    context.line(say("command.verify-head", {{"head", hex(found.head)}, {"root", hex(found.root)}}));
  print_checkpoints(context, found, zone);
  const bool held_against_paper =
      std::any_of(found.checkpoint_states.begin(), found.checkpoint_states.end(),
                  [](const CheckpointFound& one) { return one.source == CheckpointFound::Source::outside; });
  if (found.holds() && !held_against_paper) context.line(say("command.verify-limits"));
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
  auto [ledger, key_file] =
      proof::open_to_verify(context.open(store::Access::write), context.ledger_path, context.clock);
  Result<Verification> found = ledger.ok() ? proof::verify_all(ledger.value(), asked.value())
                               : ledger.error().code() == ErrorCode::corrupt
                                   ? Result<Verification>(proof::unreadable(ledger.error()))
                                   : Result<Verification>(ledger.error());
  if (!found.ok()) return context.fail(found.error());
  found.value().key_file = key_file;
  // A record that does not hold may not tell its zone either.
  const auto facility = ledger.ok() ? facility_of(ledger.value()) : Result<Facility>(ledger.error());
  const Zone zone = facility.ok() ? facility.value().zone : Zone::utc();
  if (context.json) {
    context.print(proof::to_json(found.value(), zone, context.clock.seconds() - began));
  } else {
    print_verification(context, found.value(), zone, options.full);
  }
  return found.value().holds() ? Status::done : Status::does_not_hold;
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
