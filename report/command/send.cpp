#include "report/parcel/send.h"

#include "ledger/words/words.h"
#include "report/command/signatures.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

using json::Value;

Result<Status> run(const Context& context, const SendOptions& options) {
  if (options.since && *options.since < 0)
    return context.misused(say("parcel.since", {{"found", std::to_string(*options.since)}}));
  TRY_LET(const auto witnesses, witness_keys(options.witness_keys));
  TRY_LET(auto ledger, context.open(store::Access::write));
  TRY_LET(const auto facility, facility_of(ledger));
  TRY_LET(const auto answered, parcel::co_signed_size(ledger, witnesses));
  TRY_LET(const auto sent, parcel::send(ledger, {.since = options.since.value_or(answered),
                                                 .title = facility.title,
                                                 .zone = facility.zone.name(),
                                                 .output = options.output}));
  if (context.json) {
    context.print(Value::object()
                      .set("file", options.output)
                      .set("sha256", sent.sha256)
                      .set("bytes", sent.bytes)
                      .set("ledger", ledger.ledger_id())
                      .set("since", sent.since)
                      .set("size", sent.size)
                      .set("entries", sent.size - sent.since)
                      .set("note", sent.checkpoint));
    return Status::done;
  }
  context.line(say("parcel.sent", {{"file", options.output},
                                   {"entries", count_text(sent.size - sent.since)},
                                   {"since", count_text(sent.since)},
                                   {"size", count_text(sent.size)}}));
  context.line(say("report.command.sha256", {{"sha256", sent.sha256}}));
  context.line(say("parcel.holds"));
  context.line(say("parcel.answer", {{"file", options.output}}));
  return Status::done;
}

}  // namespace

Status send_parcel(const Context& context, const SendOptions& options) {
  const auto done = run(context, options);
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace trayproof::command
