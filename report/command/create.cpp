#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/base/utf8.h"
#include "ledger/sop/default.h"
#include "ledger/verify.h"
#include "ledger/words/words.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

// Where the ledger before ends. It needs no key file: that may be why a new one is made.
Result<Continued> end_of(const Context& context, const std::string& path) {
  TRY_LET(auto old, Ledger::open(path, context.clock, store::Access::read, context.drives));
  TRY_LET(const auto found, verify(old, Depth::full));
  if (!found.problems.empty()) context.tell(say("people.continues-broken", {{"path", path}}));
  TRY_LET(const auto head, old.tree_head());
  return Continued{.origin = old.origin(), .head = head};
}

}  // namespace

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
  std::optional<Continued> continues;
  if (options.continues) {
    const auto end = end_of(context, *options.continues);
    if (!end.ok()) return context.fail(Error(end.error()).during("--continues"));
    continues = end.value();
  }
  const Creation creation{.title = options.name,
                          .zone = options.zone,
                          .altitude_m = options.altitude_m,
                          .sop_toml = toml,
                          .station = options.station,
                          .continues = continues};
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
  if (continues)
    context.line(
        say("people.continues", {{"origin", continues->origin}, {"size", std::to_string(continues->head.size)}}));
  if (!sop.value().confirmed) context.line(say("command.sop-unconfirmed"));
  if (!options.altitude_m) context.line(say("command.no-altitude"));
  context.line(say("command.vkey", {{"vkey", log::vkey(ledger.value().ledger_key())}}));
  return Status::done;
}

}  // namespace trayproof::command
