#include "ledger/links/trace.h"

#include <algorithm>

#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

using json::Value;

// Who did it, and what stands behind that.
std::string doer(const links::TraceEvent& event) {
  if (event.signed_by == event.by)
    return event.signed_by_person ? say("people.by-signed", {{"by", event.by}}) : event.by;
  return event.signed_by_person ? say("people.by-entered", {{"by", event.by}, {"enterer", event.signed_by}})
                                : say("people.by-claimed", {{"by", event.by}});
}

std::string with_second(const links::TraceEvent& event) {
  if (event.second.second == people::Second::none_needed) return event.says;
  return event.says + " " +
         (event.second.second == people::Second::awaiting
              ? say("people.second-awaited")
              : say("people.second-confirmed", {{"seq", std::to_string(event.second.confirmed_by.value_or(0))}}));
}

Result<void> put_numbers(links::Trace& found, Numbers& numbers) {
  for (links::TraceLink& link : found.links) TRY(numbers.put_into(link.id));
  for (links::TraceEvent& event : found.events) TRY(numbers.put_into(event.says));
  return {};
}

void print(const Context& context, const links::Trace& found) {
  context.line(say("command.trace-head", {{"kind", found.kind}, {"id", found.id}}));
  for (const links::TraceLink& link : found.links) {
    std::string seqs;
    for (const std::int64_t seq : link.seqs) seqs += (seqs.empty() ? "" : ", ") + std::to_string(seq);
    context.line(say("command.trace-link",
                     {{"kind", link.kind}, {"id", link.id}, {"how", links::how_in_words(link)}, {"seqs", seqs}}));
  }
  for (const links::TraceEvent& event : found.events) {
    context.line(say("command.trace-event", {{"seq", std::to_string(event.seq)},
                                             {"at", time_here(found.zone.local(event.at))},
                                             {"by", doer(event)},
                                             {"says", with_second(event)}}));
    if (event.theft) {
      context.line("  " + say("trace.key-stolen", {{"since", written_here(event.theft->since)},
                                                   {"seq", std::to_string(event.theft->told)}}));
    }
  }
  const bool any_claimed = std::any_of(found.events.begin(), found.events.end(), [](const links::TraceEvent& event) {
    return !event.signed_by_person && event.signed_by != event.by;
  });
  if (any_claimed) context.line(say("people.claimed-legend"));
  context.line(say("caution.scope"));
}

Result<Status> run_trace(const Context& context, const TraceOptions& options, Ledger& ledger) {
  TRY(may_read(ledger, options.numbers));
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  TRY_LET(const auto kinds, links::kinds_of(tables, options.subject));
  if (!options.kind && kinds.size() > 1) {
    return context.misused(say("command.trace-kinds", {{"id", options.subject}, {"kinds", listed(kinds)}}));
  }
  if (kinds.empty() && ledger.keys() != nullptr) {
    // Typed where it should not be: at least it is not said again.
    TRY_LET(const auto patient, ledger.pseudonym_of(options.subject));
    if (patient) return Error(ErrorCode::invalid, say("numbers.as-argument"));
  }
  if (kinds.empty()) return Error(ErrorCode::missing, say("command.trace-nothing", {{"id", options.subject}}));
  const std::string kind = options.kind.value_or(kinds.front());
  TRY_LET(auto found, links::trace(tables, kind, options.subject));
  TRY_LET(auto numbers, Numbers::read(context, ledger, options.numbers, kind, options.subject));
  if (context.json) {
    Value document = links::to_json(found);
    TRY(numbers.put_into(document));
    context.print(document);
  } else {
    TRY(put_numbers(found, numbers));
    print(context, found);
  }
  return Status::done;
}

}  // namespace

Status trace_subject(const Context& context, const TraceOptions& options) {
  if (const auto misuse = misuse_of(options.numbers)) return context.misused(*misuse);
  auto ledger = context.open(access_for(options.numbers));
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto status = run_trace(context, options, ledger.value());
  return status.ok() ? status.value() : context.fail(status.error());
}

}  // namespace trayproof::command
