#include "ledger/backup.h"

#include "ledger/words/words.h"
#include "report/command/verbs.h"

namespace trayproof::command {

using json::Value;

Status backup(const Context& context, const BackupOptions& options) {
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto facility = facility_of(ledger.value());
  if (!facility.ok()) return context.fail(facility.error());
  const auto made =
      make_backup(ledger.value(), options.file, format_date_time(facility.value().zone.local(context.clock.now())));
  if (!made.ok()) return context.fail(made.error());
  const std::int64_t seq = made.value().seq;
  if (context.json) {
    context.print(Value::object()
                      .set("file", options.file)
                      .set("size", made.value().size)
                      .set("root", hex(made.value().root))
                      .set("bytes", made.value().bytes)
                      .set("recorded", seq == 0 ? Value() : Value(seq)));
    return Status::done;
  }
  context.line(
      say(seq == 0 ? "command.backup-unrecorded" : "command.backup", {{"size", count_text(made.value().size)},
                                                                      {"bytes", count_text(made.value().bytes)},
                                                                      {"file", options.file},
                                                                      {"seq", count_text(seq)}}));
  context.line(say("command.backup-keys", {{"keys", people::key_path(context.ledger_path)}}));
  return Status::done;
}

}  // namespace trayproof::command
