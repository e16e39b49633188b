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

// A file so damaged that it cannot be read is a record that does not hold, not a failure of this machine.
Verification unreadable(const Error& error) {
  Verification found;
  found.problems.push_back({std::nullopt, error.sentence()});
  return found;
}

void print_verification(const Context& context, const Verification& found, bool full) {
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
  if (ok) context.line(say("command.verify-limits"));
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

Result<Verification> verify_all(Ledger& ledger, Depth depth) {
  auto found = verify(ledger, depth);
  if (!found.ok() && found.error().code() == ErrorCode::corrupt) return unreadable(found.error());
  if (!found.ok()) return found;
  // Derived tables of a record that does not hold would only repeat its faults.
  if (!found.value().problems.empty()) return found;
  TRY_LET(const auto difference, check_tables(ledger));
  if (difference) {
    const std::string where = difference->table + ": " + difference->row;
    found.value().problems.push_back({std::nullopt, say("command.derived-differ", {{"found", where}})});
  }
  return found;
}

}  // namespace

Status verify_record(const Context& context, const VerifyOptions& options) {
  const double began = context.clock.seconds();
  auto ledger = context.open(store::Access::write);
  Result<Verification> found = ledger.ok() ? verify_all(ledger.value(), options.full ? Depth::full : Depth::usual)
                               : ledger.error().code() == ErrorCode::corrupt
                                   ? Result<Verification>(unreadable(ledger.error()))
                                   : Result<Verification>(ledger.error());
  if (!found.ok()) return context.fail(found.error());
  if (context.json)
    context.print(verification_json(found.value(), context.clock.seconds() - began));
  else
    print_verification(context, found.value(), options.full);
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
