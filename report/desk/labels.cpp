// Labels from the desk, as PDF: of one pack on a page of the label's size, of a load on sheets.
#include "ledger/words/words.h"
#include "report/asking/facility.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"
#include "report/label/of_packs.h"

namespace trayproof::desk {
namespace {

Result<Response> pdf_of(Record::Reader& reader, std::span<const std::string> packs, label::Layout layout) {
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto facility, facility_of(reader.ledger()));
  TRY_LET(const auto labels, label::labels_of(*tables, packs, facility.title));
  TRY_LET(const auto bytes, label::draw(labels, layout, label::Drawing::pdf, tables->last_at()));
  return Response{.status = 200,
                  .type = "application/pdf",
                  .body = std::string(as_text(bytes)),
                  .headers = {{"Content-Disposition", "inline; filename=\"labels.pdf\""}}};
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

}  // namespace trayproof::desk
