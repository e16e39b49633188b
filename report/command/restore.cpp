#include "ledger/restore.h"

#include "ledger/words/words.h"
#include "report/command/erased.h"
#include "report/command/pins.h"
#include "report/command/signatures.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

using json::Value;

Result<RestoreRequest> request_of(const Context& context, const RestoreOptions& options) {
  RestoreRequest request{.ledger = context.ledger_path,
                         .backup = options.file,
                         .checkpoints = {},
                         .erasures = {},
                         .drives = context.drives};
  for (const std::string& file : options.checkpoints) {
    TRY_LET(auto note, read_checkpoint(file));
    request.checkpoints.push_back(std::move(note));
  }
  for (const std::string& file : options.erasures) {
    TRY_LET(auto proofs, erasures_in(file, context.clock));
    request.erasures.insert(request.erasures.end(), proofs.begin(), proofs.end());
  }
  return request;
}

Value json_of(const Restore& restore, const Restore::Done& done, const RestoreOptions& options) {
  Value lost;
  if (const auto& head = restore.lost_after())
    lost = Value::object().set("size", static_cast<std::int64_t>(head->size)).set("root", hex(head->root));
  return Value::object()
      .set("size", restore.size())
      .set("seq", done.seq == 0 ? Value() : Value(done.seq))
      .set("second", options.second)
      .set("lost_after", std::move(lost))
      .set("erased_again", done.repeated)
      .set("aside", done.aside ? Value(*done.aside) : Value());
}

void print(const Context& context, const Restore& restore, const Restore::Done& done, const RestoreOptions& options) {
  context.line(say("restore.done",
                   {{"file", options.file}, {"ledger", context.ledger_path}, {"size", count_text(restore.size())}}));
  if (const auto& head = restore.lost_after()) {
    const auto lost = static_cast<std::int64_t>(head->size) - restore.size();
    context.line(say("restore.lost", {{"count", count_text(lost)}, {"size", std::to_string(head->size)}}));
  } else {
    context.line(say("restore.nothing-later"));
  }
  if (done.repeated > 0) context.line(say("restore.erased-again", {{"count", count_text(done.repeated)}}));
  if (done.aside) context.line(say("restore.aside", {{"file", *done.aside}}));
  if (done.seq == 0) return context.line(say("restore.read-only", {{"keys", people::key_path(context.ledger_path)}}));
  context.line(say("restore.noted", {{"seq", count_text(done.seq)}, {"second", options.second}}));
}

Result<Status> put_in_place(const Context& context, const RestoreOptions& options) {
  TRY_LET(const auto request, request_of(context, options));
  TRY_LET(auto restore, Restore::begin(request, context.clock));
  Ledger& ledger = restore.ledger();
  if (ledger.writable()) {
    if (context.as) TRY(sign_in(ledger, *context.as, context.pin_fd));
    TRY(ledger.may(people::Right::restore, ledger.signer()));
    TRY(can_be_second(ledger, options.second));
  }
  TRY_LET(const auto facility, facility_of(ledger));
  const std::string at = format_date_time(facility.zone.local(context.clock.now()));
  TRY_LET(const auto done, restore.finish(ledger.signer(), options.second, at));
  if (context.json)
    context.print(json_of(restore, done, options));
  else
    print(context, restore, done, options);
  return Status::done;
}

}  // namespace

Status restore(const Context& context, const RestoreOptions& options) {
  const auto done = put_in_place(context, options);
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace trayproof::command
