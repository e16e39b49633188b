#include <algorithm>

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/links/trace.h"
#include "ledger/log/handed_on.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/asking/new_file.h"
#include "report/cautions/cautions.h"
#include "report/command/verbs.h"
#include "report/evidence/check/check.h"
#include "report/evidence/give.h"

namespace trayproof::command {
namespace {

using json::Value;

void print_given(const Context& context, const EvidenceOptions& options, const std::string& kind,
                 const evidence::Given& given) {
  if (context.json) {
    context.print(Value::object()
                      .set("file", options.output)
                      .set("sha256", given.sha256)
                      .set("subject", Value::object().set("kind", kind).set("id", options.subject))
                      .set("size", given.size)
                      .set("entries", static_cast<std::int64_t>(given.entries))
                      .set("attachments", static_cast<std::int64_t>(given.attachments))
                      .set("absent", static_cast<std::int64_t>(given.absent))
                      .set("whole", options.whole)
                      .set("recorded", given.recorded ? Value(*given.recorded) : Value()));
    return;
  }
  context.line(say("command.pack-written", {{"file", options.output},
                                            {"entries", std::to_string(given.entries)},
                                            {"files", std::to_string(given.attachments)},
                                            {"size", count_text(given.size)}}));
  context.line(say("report.command.sha256", {{"sha256", given.sha256}}));
  if (given.absent > 0) context.line(say("command.pack-absent", {{"count", std::to_string(given.absent)}}));
  if (!given.recorded) return context.line(say("command.pack-unrecorded"));
  context.line(say(options.whole ? "command.pack-recorded-whole" : "command.pack-recorded",
                   {{"seq", count_text(*given.recorded)}}));
}

Result<Status> give(const Context& context, const EvidenceOptions& options, Ledger& ledger) {
  TRY(may_read(ledger, options.numbers));
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  TRY_LET(auto kinds, links::kinds_of(tables, options.subject));
  // Packs are not made about persons, machines and lots.
  const std::string first_kind = kinds.empty() ? std::string() : kinds.front();
  std::erase_if(kinds, [](const std::string& kind) { return !evidence::is_subject_kind(kind); });
  if (!options.kind && kinds.size() > 1)
    return context.misused(say("command.trace-kinds", {{"id", options.subject}, {"kinds", listed(kinds)}}));
  if (!options.kind && kinds.empty() && !first_kind.empty())
    return Error(ErrorCode::missing, say("pack.other-kind", {{"kind", first_kind}}));
  if (!options.kind && kinds.empty())
    return Error(ErrorCode::missing, say("command.trace-nothing", {{"id", options.subject}}));
  const std::string kind = options.kind.value_or(kinds.empty() ? std::string() : kinds.front());
  if (!evidence::is_subject_kind(kind)) return context.misused(say("pack.other-kind", {{"kind", kind}}));
  TRY_LET(auto numbers, Numbers::read(context, ledger, options.numbers, kind, options.subject));
  TRY(tables.catch_up());  // the reading of numbers is an entry of the state that is given
  evidence::Giving giving{.subject = {kind, options.subject},
                          .whole = options.whole,
                          .output = options.output,
                          .cautions = [](const auto& words) { return cautions_for(words); }};
  if (numbers.shown()) giving.number_of = [&](std::string_view pseudonym) { return numbers.of(pseudonym); };
  TRY_LET(const auto given, evidence::give(ledger, tables, giving));
  print_given(context, options, kind, given);
  return Status::done;
}

Result<evidence::Anchor> anchor_of(const CheckOptions& options) {
  evidence::Anchor anchor;
  if (options.ledger_key) {
    TRY_LET(anchor.ledger_key, log::parse_vkey(*options.ledger_key));
  }
  if (options.checkpoint) {
    TRY_LET(const auto bytes, read_file(*options.checkpoint, limits::proof_bytes));
    anchor.checkpoint = log::as_signed(as_text(bytes));
  }
  return anchor;
}

void print_problems(const Context& context, const evidence::Checked& checked) {
  context.line(say("command.check-broken", {{"count", std::to_string(checked.problem_count)}}));
  constexpr std::size_t shown = 20;
  for (std::size_t i = 0; i < std::min(shown, checked.problems.size()); ++i) {
    context.line(
        say("command.check-problem", {{"member", checked.problems[i].member}, {"what", checked.problems[i].what}}));
  }
  if (checked.problem_count > shown)
    context.line(say("command.check-more", {{"count", std::to_string(checked.problem_count - shown)}}));
}

void print_checked(const Context& context, const evidence::Checked& checked) {
  const evidence::Counts& counts = checked.counts;
  context.line(say("command.check-head",
                   {{"kind", checked.subject_kind}, {"id", checked.subject_id}, {"facility", checked.facility}}));
  context.line(say("command.check-state",
                   {{"size", std::to_string(checked.size)}, {"at", written_here(checked.as_known_at)}, {"ledger", checked.ledger}}));
  context.line(say("command.check-counts", {{"entries", count_text(counts.entries)},
                                            {"proofs", count_text(counts.proofs)},
                                            {"signatures", count_text(counts.signatures)},
                                            {"keys", count_text(counts.keys)},
                                            {"texts", count_text(counts.texts)},
                                            {"files", count_text(counts.attachments)}}));
  if (counts.whole) context.line(say("command.check-whole", {{"count", count_text(*counts.whole)}}));
  if (counts.absent_texts + counts.absent_attachments > 0)
    context.line(say("command.check-absent",
                     {{"texts", count_text(counts.absent_texts)}, {"files", count_text(counts.absent_attachments)}}));
  if (!checked.holds()) return print_problems(context, checked);
  context.line(say("command.check-holds"));
  if (checked.page_signed) context.line(say("command.check-page", {{"station", checked.page_signed_by}}));
  for (const std::string& one : checked.open) context.line(one);
  if (checked.by_key) context.line(say("command.check-by-key"));
  if (checked.by_checkpoint) context.line(say("command.check-by-checkpoint"));
  if (!checked.is_shown_whose()) context.line(say("command.check-nobody"));
  context.line(say(counts.whole ? "command.check-not-true" : "command.check-not-all"));
}

}  // namespace

Status evidence_pack(const Context& context, const EvidenceOptions& options) {
  if (const auto can = can_be_made(options.output); !can.ok()) return context.fail(can.error());
  if (const auto misuse = misuse_of(options.numbers)) return context.misused(*misuse);
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto done = give(context, options, ledger.value());
  return done.ok() ? done.value() : context.fail(done.error());
}

Status check_pack(const Context& context, const CheckOptions& options) {
  const auto anchor = anchor_of(options);
  if (!anchor.ok()) return context.fail(anchor.error());
  const auto checked = evidence::check(options.file, anchor.value());
  if (!checked.ok()) return context.fail(checked.error());
  if (context.json)
    context.print(evidence::to_json(checked.value()));
  else
    print_checked(context, checked.value());
  return checked.value().is_good() ? Status::done : Status::does_not_hold;
}

}  // namespace trayproof::command
