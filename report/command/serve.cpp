// serve: the desk. station: which browsers and programs may record there.
#include "report/desk/serve.h"

#include <unistd.h>

#include <mutex>

#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/asking/facility.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

using json::Value;

// The first station of a new ledger: somebody has to be let in, and who reads this terminal may read the ledger too.
void offer_code(const Context& context, desk::Desk& desk) {
  const auto all = desk.stations().all();
  if (!all.ok() || !all.value().empty()) return;
  const auto code = desk.stations().make_code(say("desk.first-station"));
  if (code.ok()) context.tell(say("desk.first-code", {{"code", code.value()}}));
}

Status list_routes(const Context& context) {
  Value list = Value::list();
  for (const desk::Route& one : desk::routes()) {
    const std::string right(one.right ? people::row_of(*one.right).name : std::string_view());
    list.push(Value::object()
                  .set("method", one.method)
                  .set("address", one.pattern)
                  .set("who", word(one.who))
                  .set("right", one.right ? Value(right) : Value()));
    if (!context.json) {
      const std::string who = std::string(word(one.who)) + (right.empty() ? "" : ", " + right);
      context.line(std::string(one.method) + " " + std::string(one.pattern) + "  " + who);
    }
  }
  if (context.json) context.print(Value::object().set("routes", std::move(list)));
  return Status::done;
}

}  // namespace

Status serve(const Context& context, const ServeOptions& options) {
  if (options.routes) return list_routes(context);
  if (options.tls_cert.has_value() != options.tls_key.has_value()) return context.misused(say("desk.tls-both"));
  // A ledger that is not there is told as every other verb tells it.
  if (const auto there = context.open(store::Access::read); !there.ok()) return context.fail(there.error());
  std::mutex one_line;
  desk::Serving serving{.ledger = context.ledger_path,
                        .drives = context.drives,
                        .listening = {.bind = options.bind, .port = options.port, .tls = {}},
                        .premises = {.hosts = options.hosts, .behind_proxy = options.behind_proxy},
                        .ready = {},
                        .log = [&](std::string_view line) {
                          const std::lock_guard lock(one_line);
                          context.err << line << std::endl;  // NOLINT: whoever supervises wants each line at once
                        }};
  if (options.tls_cert)
    serving.listening.tls = desk::TlsFiles{.certificate = *options.tls_cert, .key = *options.tls_key};
  serving.ready = [&](const std::string& address, desk::Desk& desk) {
    context.line(say("desk.listening", {{"address", address}}));
    context.out.flush();
    offer_code(context, desk);
  };
  const auto done = desk::serve(std::move(serving), context.clock);
  if (!done.ok()) return context.fail(done.error());
  context.tell(say("desk.stopped"));
  return Status::done;
}

Status station_add(const Context& context, const StationAddOptions& options) {
  const auto ledger = context.open(store::Access::read);
  if (!ledger.ok()) return context.fail(ledger.error());
  desk::Stations stations(desk::stations_path(context.ledger_path), context.clock);
  const auto made = options.token ? stations.add(options.label) : stations.make_code(options.label);
  if (!made.ok()) return context.fail(made.error());
  if (context.json) {
    context.print(Value::object().set("label", options.label).set(options.token ? "token" : "code", made.value()));
    return Status::done;
  }
  context.line(made.value());
  context.tell(say(options.token ? "desk.token-made" : "desk.code-made", {{"label", options.label}}));
  return Status::done;
}

Status station_list(const Context& context) {
  desk::Stations stations(desk::stations_path(context.ledger_path), context.clock);
  const auto all = stations.all();
  if (!all.ok()) return context.fail(all.error());
  if (context.json) {
    Value list = Value::list();
    for (const desk::Station& one : all.value())
      list.push(Value::object().set("label", one.label).set("since", format_date_time({one.since, 0})));
    context.print(Value::object().set("stations", std::move(list)));
    return Status::done;
  }
  const auto ledger = context.open(store::Access::read);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto facility = facility_of(ledger.value());
  if (!facility.ok()) return context.fail(facility.error());
  for (const desk::Station& one : all.value()) {
    const DateTime since = facility.value().zone.local({one.since.ms / second_ms * second_ms});
    context.line(say("desk.station-line", {{"label", one.label}, {"since", time_here(since)}}));
  }
  if (all.value().empty()) context.line(say("desk.stations-none"));
  return Status::done;
}

Status station_remove(const Context& context, const std::string& label) {
  desk::Stations stations(desk::stations_path(context.ledger_path), context.clock);
  const auto done = stations.remove(label);
  if (!done.ok()) return context.fail(done.error());
  if (context.json)
    context.print(Value::object().set("removed", label));
  else
    context.line(say("desk.station-removed", {{"label", label}}));
  return Status::done;
}

}  // namespace trayproof::command
