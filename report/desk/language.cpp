// Another language for this browser, until it chooses again. A choice, not a guess: translations that nobody reviewed
// are not put before somebody because their browser came with a language.
#include "ledger/words/language.h"

#include "ledger/words/words.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"

namespace trayproof::desk {
namespace {

constexpr std::int64_t year_seconds = 365LL * 24 * 3600;

}  // namespace

Result<Response> answer_language(Asked& asked) {
  const std::string tag = asked.form.filled("language").value_or("");
  const auto language = language_of(tag);
  if (!language) return Error(ErrorCode::invalid, say("command.language", {{"found", tag}, {"tags", language_tags()}}));
  Response response = see_other(next_in(asked));
  response.headers.push_back(asked.desk.cookie(language_cookie, facts_of(*language).tag, year_seconds));
  return response;
}

}  // namespace trayproof::desk
