#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/words/words.h"
#include "report/command/verbs.h"

namespace trayproof::command {

Status sop_check(const Context& context, const std::string& file) {
  const auto bytes = read_file(file, limits::toml_bytes);
  if (!bytes.ok()) return context.fail(bytes.error());
  const auto sop = sop::read(as_text(bytes.value()));
  if (!sop.ok()) return context.fail(Error(sop.error()).during(file));
  if (context.json) {
    context.print(json::Value::object()
                      .set("title", sop.value().title)
                      .set("edition", sop.value().edition)
                      .set("confirmed", sop.value().confirmed));
  } else {
    context.line(
        say("command.sop-reads", {{"file", file}, {"title", sop.value().title}, {"edition", sop.value().edition}}));
    if (!sop.value().confirmed) context.line(say("command.sop-unconfirmed"));
  }
  return Status::done;
}

}  // namespace trayproof::command
