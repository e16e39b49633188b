// Rows that an import refused: told while it runs, and told again from what is kept beside the export.
#include <algorithm>

#include "importer/refusals.h"
#include "importer/refused_row.h"
#include "ledger/base/utf8.h"
#include "ledger/words/words.h"
#include "report/command/foreign.h"
#include "report/command/import_verbs.h"

namespace trayproof::command {
namespace {

using json::Value;

constexpr std::size_t first_rows = 20;

void print_row(const Context& context, const reading::RefusedRow& row) {
  context.line(say("command.refused-row", {{"line", count_text(row.line)},
                                           {"why", for_terminal(importer::why_here(row))},
                                           {"text", for_terminal(shortened(row.text, 80))}}));
}

Result<Status> tell(const Context& context, const Ledger& ledger, std::int64_t curve) {
  TRY_LET(const auto entry, ledger.entry(curve));
  TRY_LET(const auto measured, json::parse(entry.bytes));
  const std::string seq = count_text(curve);
  if (measured.text_at("kind") != "curve-measured")
    return Error(ErrorCode::missing, say("importer.not-a-curve", {{"seq", seq}}));
  TRY_LET(const auto kept, importer::kept_refusals(ledger, measured));
  if (context.json) {
    Value rows = Value::list();
    if (kept) {
      for (const reading::RefusedRow& row : kept->rows) rows.push(importer::to_json(row));
    }
    context.print(Value::object()
                      .set("curve", curve)
                      .set("file", measured.text_at("file").value_or(""))
                      .set("list", kept ? Value(hex(kept->file)) : Value())
                      .set("removed", kept && kept->removed)
                      .set("refused", kept ? kept->refused : 0)
                      .set("rows", std::move(rows)));
    return Status::done;
  }
  if (!kept) {
    context.line(say("command.none-refused", {{"curve", seq}}));
    return Status::done;
  }
  context.line(say(kept->removed ? "command.refusals-removed" : "command.refusals-head",
                   {{"count", count_text(kept->refused)},
                    {"file", measured.text_at("file").value_or("")},
                    {"list", hex(kept->file)}}));
  for (const reading::RefusedRow& row : kept->rows) {
    print_row(context, row);
    context.line(
        say("command.refused-mend", {{"byte", count_text(row.byte)},
                                     {"column", row.column.empty() ? say("command.none") : for_terminal(row.column)},
                                     {"mend", for_terminal(importer::mend_here(row))}}));
  }
  const auto more = kept->refused - static_cast<std::int64_t>(kept->rows.size());
  if (!kept->removed && more > 0) context.line(say("command.more-rows", {{"count", count_text(more)}}));
  return Status::done;
}

}  // namespace

void print_refused_rows(const Context& context, const std::vector<reading::RefusedRow>& rows, std::int64_t refused) {
  for (std::size_t i = 0; i < std::min(rows.size(), first_rows); ++i) print_row(context, rows[i]);
  const auto more = refused - static_cast<std::int64_t>(std::min(rows.size(), first_rows));
  if (more > 0) context.line(say("command.more-rows", {{"count", count_text(more)}}));
}

Status import_refused(const Context& context, std::int64_t curve) {
  auto ledger = context.open(store::Access::read);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto status = tell(context, ledger.value(), curve);
  return status.ok() ? status.value() : context.fail(status.error());
}

}  // namespace trayproof::command
