#include "report/command/verbs.h"
#include "report/evidence/lines.h"

namespace trayproof::command {

Status export_entries(const Context& context, const ExportOptions& options) {
  auto ledger = context.open(store::Access::read);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto head = ledger.value().head();
  if (!head.ok()) return context.fail(head.error());
  const auto done =
      ledger.value().scan(options.from_seq, head.value().seq, [&](const store::EntryView& entry) -> Result<void> {
        context.out << evidence::entry_line(entry);
        return {};
      });
  if (!done.ok()) return context.fail(done.error());
  return Status::done;
}

}  // namespace trayproof::command
