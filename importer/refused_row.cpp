#include "importer/refused_row.h"

#include "ledger/words/words.h"

namespace trayproof::importer {

std::string why_here(const reading::RefusedRow& row) { return said_here("importer.refused.", row.why); }

std::string mend_here(const reading::RefusedRow& row) { return said_here("importer.mend.", row.mend); }

json::Value to_json(const reading::RefusedRow& row) {
  return json::Value::object()
      .set("line", row.line)
      .set("byte", row.byte)
      .set("column", row.column.empty() ? json::Value() : json::Value(row.column))
      .set("text", row.text)
      .set("why", row.why)
      .set("mend", row.mend);
}

}  // namespace trayproof::importer
