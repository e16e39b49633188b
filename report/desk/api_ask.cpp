// The API: questions. Every answer has the shape of the command's --json.
#include "ledger/links/trace.h"
#include "ledger/recall/exposure.h"
#include "ledger/words/words.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"

namespace trayproof::desk {

Result<Response> answer_exposure(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto editions, reader.ledger().editions());
  TRY_LET(const auto found, recall::exposure(*tables, editions));
  return json_response(recall::to_json(found));
}

Result<Response> answer_trace(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto found, links::trace(*tables, asked.at("kind"), asked.at("id")));
  return json_response(links::to_json(found));
}

}  // namespace trayproof::desk
