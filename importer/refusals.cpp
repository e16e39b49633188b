#include "importer/refusals.h"

#include "importer/refused_row.h"
#include "ledger/words/words.h"

namespace trayproof::importer {
namespace {

using json::Value;

constexpr std::string_view sort = "refused-rows-1";

std::string text_in(const Value& row, std::string_view name) { return std::string(row.text_at(name).value_or("")); }
std::int64_t number_in(const Value& row, std::string_view name) {
  return static_cast<std::int64_t>(row.number_at(name).value_or(0));
}

Error not_a_list(const Digest& file) {
  return {ErrorCode::corrupt, say("importer.refusals-broken", {{"file", hex(file)}})};
}

}  // namespace

std::optional<std::string> refusals_file(const Import& import) {
  if (import.refused.empty()) return std::nullopt;
  const Value head = Value::object()
                         .set("sort", sort)
                         .set("file", hex(import.file))
                         .set("refused", static_cast<std::int64_t>(import.refused.size()) + import.refused_more)
                         .set("rows", Value::list());
  // A line a row, so that it can be read without a program.
  std::string out = json::plain(head);
  out.resize(out.size() - 2);  // "]}"
  bool first = true;
  for (const reading::RefusedRow& row : import.refused) {
    out += first ? "\n" : ",\n";
    first = false;
    out += json::plain(to_json(row));
  }
  return out + "\n]}\n";
}

Result<std::optional<KeptRefusals>> kept_refusals(const Ledger& ledger, const Value& measured) {
  const Value* files = measured.find("files");
  if (files == nullptr || !files->is_list() || files->items().empty()) return std::optional<KeptRefusals>();
  KeptRefusals out;
  if (!files->items().front().is_text() || !from_hex(files->items().front().text(), out.file) ||
      !from_hex(measured.text_at("file").value_or(""), out.export_file))
    return not_a_list(out.file);
  if (const Value* reading = measured.find("reading")) out.refused = number_in(*reading, "refused");
  TRY_LET(const bool there, ledger.has_attachment(out.file));
  if (!there) {
    out.removed = true;
    return std::optional(std::move(out));
  }
  TRY_LET(const Bytes bytes, ledger.attachment(out.file));
  const auto list = json::parse(as_text(bytes));
  const Value* rows = list.ok() && list.value().text_at("sort") == sort ? list.value().find("rows") : nullptr;
  if (rows == nullptr || !rows->is_list()) return not_a_list(out.file);
  out.refused = number_in(list.value(), "refused");
  for (const Value& row : rows->items()) {
    out.rows.push_back({.line = number_in(row, "line"),
                        .byte = number_in(row, "byte"),
                        .column = text_in(row, "column"),
                        .text = text_in(row, "text"),
                        .why = text_in(row, "why"),
                        .mend = text_in(row, "mend")});
  }
  return std::optional(std::move(out));
}

}  // namespace trayproof::importer
