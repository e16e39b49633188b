#include "ledger/base/files.h"
#include "ledger/words/words.h"
#include "report/command/verbs.h"

namespace trayproof::command {

using json::Value;

namespace {

Value key_json(const people::KnownKey& key, const Zone& zone) {
  Value one = Value::object();
  one.set("key", key.public_key).set("owner", key.owner).set("sort", key.sort);
  one.set("added", key.added).set("since", format_date_time(zone.local(key.added_at)));
  if (key.retired) {
    one.set("retired", Value::object()
                           .set("seq", key.retired->told)
                           .set("cause", key.retired->cause)
                           .set("since", key.retired->since_text));
  }
  return one;
}

void key_lines(const Context& context, const people::KnownKey& key, const Zone& zone) {
  context.line(say("people.key-line", {{"sort", key.sort},
                                       {"owner", key.owner},
                                       {"key", key.public_key},
                                       {"since", format_date_time(zone.local(key.added_at))},
                                       {"seq", std::to_string(key.added)}}));
  if (!key.retired) return;
  context.line(say(
      key.retired->cause == "stolen" ? "people.key-line-stolen" : "people.key-line-retired",
      {{"cause", key.retired->cause}, {"since", key.retired->since_text}, {"seq", std::to_string(key.retired->told)}}));
}

Result<Status> list_keys(const Context& context, const Ledger& ledger) {
  TRY_LET(const auto book, ledger.key_book());
  TRY_LET(const auto facility, facility_of(ledger));
  const auto ledger_key = ledger.ledger_key();
  if (context.json) {
    Value keys = Value::list();
    for (const people::KnownKey& key : book.all()) keys.push(key_json(key, facility.zone));
    context.print(Value::object()
                      .set("ledger", Value::object().set("name", ledger_key.name).set("vkey", log::vkey(ledger_key)))
                      .set("keys", std::move(keys)));
    return Status::done;
  }
  context.line(say("command.vkey", {{"vkey", log::vkey(ledger_key)}}));
  for (const people::KnownKey& key : book.all()) key_lines(context, key, facility.zone);
  return Status::done;
}

}  // namespace

Status key_list(const Context& context) {
  auto ledger = context.open(store::Access::read);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto done = list_keys(context, ledger.value());
  return done.ok() ? done.value() : context.fail(done.error());
}

Status checkpoint(const Context& context, const CheckpointOptions& options) {
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  if (options.output && file_exists(*options.output)) {
    return context.fail(Error(ErrorCode::invalid, say("command.file-exists", {{"file", *options.output}})));
  }
  const auto note = ledger.value().sign_checkpoint();
  if (!note.ok()) return context.fail(note.error());
  const auto parsed = log::parse_note(note.value());
  if (!parsed.ok()) return context.fail(parsed.error());
  const auto signed_state = log::parse_checkpoint(parsed.value());
  if (!signed_state.ok()) return context.fail(signed_state.error());
  const log::Head& head = signed_state.value().head;
  if (options.output) {
    const auto written = write_new_file(*options.output, as_bytes(note.value()), FileMode::shared);
    if (!written.ok()) return context.fail(written.error());
  }
  if (options.kept) {
    const auto facility = facility_of(ledger.value());
    if (!facility.ok()) return context.fail(facility.error());
    Value event = Value::object();
    event.set("kind", "checkpoint-kept").set("at", format_date_time(facility.value().zone.local(context.clock.now())));
    event.set("by", ledger.value().actor())
        .set("size", head.size)
        .set("root", hex(head.root))
        .set("where", *options.kept);
    AppendOptions append;
    append.giver = events::Giver::program;
    append.same_content_repeats = false;
    const auto done = ledger.value().append({{0, std::move(event)}}, append);
    if (!done.ok()) return context.fail(done.error());
    if (!done.value().refusals.empty()) {
      return context.fail(Error(ErrorCode::invalid, done.value().refusals.front().why).during("--kept"));
    }
  }
  if (context.json) {
    context.print(Value::object()
                      .set("origin", signed_state.value().origin)
                      .set("size", head.size)
                      .set("root", hex(head.root))
                      .set("note", note.value()));
  } else if (options.output) {
    context.line(say("command.checkpoint", {{"size", std::to_string(head.size)}, {"file", *options.output}}));
  } else {
    context.out << note.value();
  }
  return Status::done;
}

}  // namespace trayproof::command
