#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/base/utf8.h"
#include "ledger/sop/default.h"
#include "ledger/words/words.h"
#include "report/command/verbs.h"

namespace trayproof::command {

Status create(const Context& context, const CreateOptions& options) {
  std::string toml(sop::default_sop());
  if (options.sop) {
    const auto bytes = read_file(*options.sop, limits::toml_bytes);
    if (!bytes.ok())
      return context.fail(Error(bytes.error().code() == ErrorCode::missing ? ErrorCode::invalid : bytes.error().code(),
                                bytes.error().sentence()));
    if (first_bad_utf8(as_text(bytes.value())))
      return context.fail(Error(ErrorCode::invalid, say("command.not-utf8", {{"file", *options.sop}})));
    toml = as_text(bytes.value());
  }
  const auto sop = sop::read(toml);
  if (!sop.ok()) return context.fail(Error(sop.error()).during(options.sop.value_or("SOP")));
  const Creation creation{.title = options.name,
                          .zone = options.zone,
                          .altitude_m = options.altitude_m,
                          .sop_toml = toml,
                          .station = options.station};
  const auto ledger = Ledger::create(context.ledger_path, creation, context.clock, context.drives);
  if (!ledger.ok()) return context.fail(ledger.error());
  if (context.json) {
    context.print(json::Value::object()
                      .set("ledger", ledger.value().ledger_id())
                      .set("path", context.ledger_path)
                      .set("keys", people::key_path(context.ledger_path))
                      .set("vkey", log::vkey(ledger.value().ledger_key())));
    return Status::done;
  }
  context.line(say(
      "command.created",
      {{"path", context.ledger_path}, {"keys", people::key_path(context.ledger_path)}, {"sop", sop.value().title}}));
  if (!sop.value().confirmed) context.line(say("command.sop-unconfirmed"));
  if (!options.altitude_m) context.line(say("command.no-altitude"));
  context.line(say("command.vkey", {{"vkey", log::vkey(ledger.value().ledger_key())}}));
  return Status::done;
}

}  // namespace trayproof::command
