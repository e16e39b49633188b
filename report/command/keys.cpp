#include "ledger/base/files.h"
#include "ledger/words/words.h"
#include "report/command/verbs.h"

namespace trayproof::command {

using json::Value;

Status key_list(const Context& context) {
  auto ledger = context.open(store::Access::read);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto seqs = ledger.value().file().landmarks("key-added");
  if (!seqs.ok()) return context.fail(seqs.error());
  Value keys = Value::list();
  for (const std::int64_t seq : seqs.value()) {
    const auto entry = ledger.value().entry(seq);
    if (!entry.ok()) return context.fail(entry.error());
    const auto event = json::parse(entry.value().bytes);
    if (!event.ok()) return context.fail(event.error());
    const auto field = [&](std::string_view name) { return std::string(event.value().text_at(name).value_or("")); };
    keys.push(Value::object().set("key", field("public")).set("owner", field("owner")).set("sort", field("sort")));
  }
  const auto ledger_key = ledger.value().ledger_key();
  if (context.json) {
    context.print(Value::object()
                      .set("ledger", Value::object().set("name", ledger_key.name).set("vkey", log::vkey(ledger_key)))
                      .set("keys", std::move(keys)));
    return Status::done;
  }
  context.line(say("command.vkey", {{"vkey", log::vkey(ledger_key)}}));
  for (const Value& key : keys.items()) {
    context.line(say("command.key-line",
                     {{"sort", *key.text_at("sort")}, {"owner", *key.text_at("owner")}, {"key", *key.text_at("key")}}));
  }
  return Status::done;
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
