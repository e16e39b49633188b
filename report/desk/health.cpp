// Whether it lives, and whether it can take what is recorded: for whoever supervises the service.
#include "ledger/words/words.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"

namespace trayproof::desk {

Result<Response> answer_live(Asked&) { return Response{.body = "live\n"}; }

Result<Response> answer_ready(Asked& asked) {
  if (!asked.desk.is_ready()) return Response{.status = 503, .body = say("desk.not-ready") + "\n"};
  // That the file can be read now, not only that it could when the desk was opened.
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY(reader.ledger().head());
  return Response{.body = "ready\n"};
}

}  // namespace trayproof::desk
