#include "report/command/register.h"

#include <algorithm>

#include "ledger/words/words.h"
#include "report/command/progress.h"
#include "report/register/derive.h"
#include "report/register/schema.h"
#include "report/register/witness_key.h"

namespace trayproof::command {
namespace {

using json::Value;

Result<Status> make_witness(const Context& context, const WitnessOptions& options) {
  TRY_LET(const auto made, registry::WitnessKey::make(options.file, options.name));
  const std::string vkey = log::vkey(made.verifier());
  if (context.json) {
    context.print(Value::object().set("file", options.file).set("name", made.name).set("vkey", vkey));
    return Status::done;
  }
  context.line(say("district.witness-made", {{"file", options.file}}));
  context.line(vkey);
  return Status::done;
}

Result<Status> prepare(const Context& context, const RegisterOptions& options) {
  TRY_LET(auto connection, registry::Connection::open(options.conninfo));
  TRY_LET(const auto done, registry::prepare(connection, context.clock.now()));
  if (context.json) {
    context.print(
        Value::object().set("applied", done.applied).set("number", done.number).set("derived_anew", done.derived_anew));
    return Status::done;
  }
  context.line(say("district.prepared", {{"number", count_text(done.number)}, {"applied", count_text(done.applied)}}));
  if (done.derived_anew) context.line(say("district.derived-anew"));
  context.line(say("district.roles"));
  return Status::done;
}

Result<Status> derive_behind(const Context& context, const RegisterOptions& options) {
  TRY_LET(auto connection, opened_register(options));
  TRY_LET(const auto ledgers, registry::behind(connection));
  Progress progress(context, say("district.deriving"), 2);
  Status status = Status::done;
  std::int64_t rows = 0;
  std::int64_t done = 0;
  std::int64_t tried = 0;
  Value failed = Value::list();
  const auto tell = [&](const std::string& ledger, const Result<std::int64_t>& put) {
    progress.show(++tried, static_cast<std::int64_t>(ledgers.size()));
    if (put.ok()) {
      rows += put.value();
      if (put.value() > 0) ++done;
      return;
    }
    progress.clear();
    failed.push(Value::object().set("ledger", ledger).set("what", put.error().sentence()));
    status = std::max(status, context.fail(not_derived(ledger, put.error())));
  };
  // Those that another works out now come last: who did not finish them leaves them to this one.
  std::vector<std::string> left;
  for (const std::string& ledger : ledgers) {
    const auto put = registry::derive_unless_busy(connection, ledger, context.clock);
    if (put.ok() && !put.value())
      left.push_back(ledger);
    else
      tell(ledger, put.ok() ? Result<std::int64_t>(*put.value()) : Result<std::int64_t>(put.error()));
  }
  for (const std::string& ledger : left) tell(ledger, registry::derive(connection, ledger, context.clock));
  progress.clear();
  if (context.json)
    context.print(Value::object().set("ledgers", done).set("rows", rows).set("failed", std::move(failed)));
  else
    context.line(say("district.derived", {{"ledgers", count_text(done)}, {"rows", count_text(rows)}}));
  return status;
}

}  // namespace

Error not_derived(const std::string& ledger, const Error& why) {
  return {why.code(), say("district.derive-failed", {{"ledger", ledger}, {"why", why.sentence()}})};
}

Result<registry::Connection> opened_register(const RegisterOptions& options) {
  TRY_LET(auto connection, registry::Connection::open(options.conninfo));
  TRY(registry::is_prepared(connection));
  return connection;
}

Status register_witness(const Context& context, const WitnessOptions& options) {
  const auto done = make_witness(context, options);
  return done.ok() ? done.value() : context.fail(done.error());
}

Status register_prepare(const Context& context, const RegisterOptions& options) {
  const auto done = prepare(context, options);
  return done.ok() ? done.value() : context.fail(done.error());
}

Status register_derive(const Context& context, const RegisterOptions& options) {
  const auto done = derive_behind(context, options);
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace trayproof::command
