// Labels and badges from the desk, as PDF: one on a page of its own size, several on sheets.
#include "ledger/base/desk_limits.h"
#include "ledger/words/words.h"
#include "report/asking/facility.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"
#include "report/label/badge.h"
#include "report/label/of_packs.h"

namespace trayproof::desk {
namespace {

Response pdf(const Bytes& bytes) {
  return {.status = 200,
          .type = "application/pdf",
          .body = std::string(as_text(bytes)),
          .headers = {{"Content-Disposition", "inline; filename=\"labels.pdf\""}}};
}

Result<Response> badges(Record::Reader& reader, std::span<const std::string> persons, label::Layout layout) {
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto facility, facility_of(reader.ledger()));
  TRY_LET(const auto badges, label::badges_of(reader.ledger(), persons, facility.title));
  TRY_LET(const auto bytes, label::draw(badges, layout, label::Drawing::pdf, tables->last_at()));
  return pdf(bytes);
}

Result<Response> pdf_of(Record::Reader& reader, std::span<const std::string> packs, label::Layout layout) {
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto facility, facility_of(reader.ledger()));
  TRY_LET(const auto labels, label::labels_of(*tables, packs, facility.title));
  TRY_LET(const auto bytes, label::draw(labels, layout, label::Drawing::pdf, tables->last_at()));
  return pdf(bytes);
}

}  // namespace

Result<Response> answer_pack_label(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  const std::string packs[] = {asked.at("id")};
  return pdf_of(reader, packs, label::Layout::single);
}

Result<Response> answer_load_labels(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto packs, label::packs_of_load(*tables, asked.at("id")));
  return pdf_of(reader, packs, label::Layout::sheet);
}

Result<Response> answer_badges(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  return badges(reader, {}, label::Layout::sheet);
}

Result<Response> answer_badge(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  const std::string persons[] = {asked.at("id")};
  return badges(reader, persons, label::Layout::single);
}

// Of the packs that these entries packed or received, as they were recorded together.
Result<Response> answer_entry_labels(Asked& asked) {
  const std::int64_t first = seq_in(asked.at("first"));
  const std::int64_t last = seq_in(asked.at("last"));
  const auto most = static_cast<std::int64_t>(limits::desk_packs_at_once);
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto head, reader.ledger().head());
  if (first < 1 || last < first || last > head.seq || last - first >= most)
    return Error(ErrorCode::missing,
                 say("label.no-entries", {{"size", std::to_string(head.seq)}, {"most", std::to_string(most)}}));
  std::vector<std::string> packs;
  TRY(reader.ledger().scan(first, last, [&](const store::EntryView& entry) -> Result<void> {
    TRY_LET(const auto event, json::parse(entry.bytes));
    const auto kind = event.text_at("kind");
    if (kind != "packed" && kind != "pack-received") return {};
    if (const auto pack = event.text_at("pack")) packs.emplace_back(*pack);
    return {};
  }));
  if (packs.empty())
    return Error(ErrorCode::missing,
                 say("label.no-entries", {{"size", std::to_string(head.seq)}, {"most", std::to_string(most)}}));
  return pdf_of(reader, packs, label::Layout::sheet);
}

}  // namespace trayproof::desk
