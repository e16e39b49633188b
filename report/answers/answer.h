// Asks one question of the catalogue and answers with rows, how many were looked at, how many of them could not be
// judged, and everything that the answer rests on. docs/answers.md is the authority.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "ledger/links/links.h"
#include "ledger/text/json.h"
#include "report/answers/question.h"
#include "report/answers/setting.h"

namespace trayproof::answers {

struct Asked {
  const Question* question = nullptr;
  std::optional<Instant> from, until;
  std::map<std::string, std::string, std::less<>> given;  // by the parameter's name
  std::optional<std::string> what_if;                     // the text of an edition to judge by instead
};

struct AnsweredColumn {
  std::string name;
  Sort sort = Sort::text;
};

struct Answer {
  const Question* question = nullptr;
  Zone zone = Zone::utc();
  std::optional<Period> period;  // nothing where the whole record was looked at
  bool usual_period = false;     // nobody said which
  Instant as_of;
  std::int64_t known_at = 0;
  std::map<std::string, std::string, std::less<>> given;  // with the usual values of what was not given
  std::vector<std::int64_t> editions;                     // that judged in the period
  std::optional<std::string> what_if;                     // title of the edition that judged instead
  std::int64_t examined = 0;
  std::int64_t cannot_tell = 0;
  std::int64_t unknown_events = 0;  // entries that this program cannot read
  std::vector<AnsweredColumn> columns;
  std::vector<std::vector<json::Value>> rows;
  std::vector<std::string> notes;  // caveats that belong to what was worked out
};

// Without a period: the thirteen weeks that end with the record. Invalid where a parameter is missing or is none;
// missing where the ledger does not hold what is asked about.
Result<Answer> ask(const Asked& asked, links::Links& tables, const sop::Editions& editions);
// The same as statements for the sqlite3 shell, over a copy of the tables' file.
Result<std::string> for_the_shell(const Asked& asked, links::Links& tables, const sop::Editions& editions);

json::Value to_json(const Answer& answer);

// Adds what is worked out over the rows: shares with their intervals, exact probabilities, charts.
void work_out(Answer& answer);

}  // namespace trayproof::answers
