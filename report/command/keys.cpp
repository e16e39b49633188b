#include "ledger/text/locale.h"
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
                                       {"since", time_here(zone.local(key.added_at))},
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

}  // namespace trayproof::command
