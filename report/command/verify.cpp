#include "ledger/verify.h"

#include "ledger/links/links.h"
#include "ledger/words/words.h"
#include "report/command/verbs.h"

namespace trayproof::command {

using json::Value;

namespace {

Result<std::optional<links::Difference>> check_tables(const Ledger& ledger) {
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  return tables.same_as_fresh();
}

}  // namespace

Status verify_record(const Context& context, const VerifyOptions& options) {
  const double began = context.clock.seconds();
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  auto found = verify(ledger.value(), options.full ? Depth::full : Depth::usual);
  if (!found.ok()) return context.fail(found.error());
  Verification& verification = found.value();
  // Derived tables of a record that does not hold would only repeat its faults.
  if (verification.problems.empty()) {
    const auto derived = check_tables(ledger.value());
    if (!derived.ok()) return context.fail(derived.error());
    if (const auto& found_difference = derived.value()) {
      const std::string where = found_difference->table + ": " + found_difference->row;
      verification.problems.push_back({std::nullopt, say("command.derived-differ", {{"found", where}})});
    }
  }
  const bool ok = verification.problems.empty();
  const double seconds = context.clock.seconds() - began;
  if (context.json) {
    Value problems = Value::list();
    for (const Problem& one : verification.problems) {
      problems.push(Value::object().set("seq", one.seq ? Value(*one.seq) : Value()).set("what", one.what));
    }
    context.print(Value::object()
                      .set("ok", ok)
                      .set("events", verification.events)
                      .set("head", hex(verification.head))
                      .set("root", hex(verification.root))
                      .set("checkpoints", verification.checkpoints)
                      .set("problems", std::move(problems))
                      .set("seconds", seconds));
    return ok ? Status::done : Status::does_not_hold;
  }
  for (const Problem& one : verification.problems) {
    context.line(one.seq ? say("command.problem-seq", {{"seq", std::to_string(*one.seq)}, {"what", one.what}})
                         : say("command.problem", {{"what", one.what}}));
  }
  context.line(say(ok ? "command.verified" : "command.not-verified",
                   {{"events", count_text(verification.events)}, {"problems", std::to_string(verification.problems.size())}}));
  context.line(say("command.verify-what", {{"signatures", count_text(verification.signatures)},
                                           {"before", count_text(verification.signed_before)},
                                           {"checkpoints", count_text(verification.checkpoints)},
                                           {"removed", count_text(verification.removed_texts)}}));
  if (options.full) context.line(say("command.verify-attachments", {{"attachments", count_text(verification.attachments)}}));
  context.line(say("command.verify-head", {{"head", hex(verification.head)}, {"root", hex(verification.root)}}));
  if (ok) context.line(say("command.verify-limits"));
  return ok ? Status::done : Status::does_not_hold;
}

Status rebuild(const Context& context) {
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  const double began = context.clock.seconds();
  auto tables = links::Links::open(ledger.value());
  if (!tables.ok()) return context.fail(tables.error());
  const auto rebuilt = tables.value().rebuild();
  if (!rebuilt.ok()) return context.fail(rebuilt.error());
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
