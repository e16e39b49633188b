#include "report/command/verbs.h"

namespace trayproof::command {

using json::Value;

Status export_entries(const Context& context, const ExportOptions& options) {
  auto ledger = context.open(store::Access::read);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto head = ledger.value().head();
  if (!head.ok()) return context.fail(head.error());
  const auto done =
      ledger.value().scan(options.from_seq, head.value().seq, [&](const store::EntryView& entry) -> Result<void> {
        // An entry that is no JSON is exported as it stands; its key then cannot be told.
        const auto event = json::parse(entry.bytes);
        const std::string key(event.ok() ? event.value().text_at("key").value_or("") : "");
        context.out << json::plain(Value::object()
                                       .set("entry", entry.bytes)
                                       .set("hash", hex(entry.hash))
                                       .set("key", key)
                                       .set("sig", hex(entry.sig)))
                    << '\n';
        return {};
      });
  if (!done.ok()) return context.fail(done.error());
  return Status::done;
}

}  // namespace trayproof::command
