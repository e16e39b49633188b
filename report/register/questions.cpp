#include "report/register/questions.h"

#include "ledger/words/words.h"
#include "report/register/derive.h"
#include "report/register/facility_title.h"
#include "report/register/foreign_text.h"
#include "report/register/past.h"
#include "report/register/thefts.h"

namespace trayproof::registry {
namespace {

using json::Value;

const std::string title = title_sql("l.ledger") + " ";

// A moment as the register tells it: UTC, to the second.
std::string moment(const char* sql) { return std::string("to_char(") + sql + ", 'YYYY-MM-DD\"T\"HH24:MI:SS\"Z\"')"; }

// Numbers of PostgreSQL as numbers, everything else as text.
Value value_of(const Rows& rows, int row, int column, bool number) {
  if (rows.is_null(row, column)) return {};
  if (number) return rows.integer(row, column);
  return foreign_text(rows.text(row, column));
}

// Rows as they come; columns whose id is among `numbers` hold whole numbers.
Result<Answer> asked(Connection& connection, std::string question, std::vector<std::string> columns,
                     const std::vector<std::string>& numbers, const std::string& sql,
                     const Parameters& parameters = {}) {
  Answer answer{.question = std::move(question), .columns = std::move(columns), .rows = {}, .notes = {}};
  TRY_LET(const Rows rows, connection.ask(sql, parameters));
  for (int row = 0; row < rows.count(); ++row) {
    std::vector<Value>& out = answer.rows.emplace_back();
    for (std::size_t i = 0; i < answer.columns.size(); ++i) {
      bool number = false;
      for (const std::string& one : numbers) number = number || one == answer.columns[i];
      out.push_back(value_of(rows, row, static_cast<int>(i), number));
    }
  }
  return answer;
}

}  // namespace

void tell_behind(std::vector<std::string> ledgers, Answer& answer) {
  answer.behind = std::move(ledgers);
  if (!answer.behind.empty())
    answer.notes.push_back(say("district.behind-note", {{"ledgers", std::to_string(answer.behind.size())}}));
}

Result<Answer> facilities(Connection& connection) {
  const std::string sql =
      "WITH present AS (" + present_pasts + ") SELECT l.ledger, " + title + "AS facility, p.size, " +
      moment("(SELECT max(s.received) FROM register.states s WHERE s.ledger = l.ledger AND s.line = p.line)") + ", " +
      moment("w.last_at") +
      ", (SELECT max(s.size) FROM register.states s WHERE s.ledger = l.ledger AND s.cosigned IS NOT NULL), "
      "(SELECT count(*) FROM register.lines a WHERE a.ledger = l.ledger AND (a.why = 'fork' OR EXISTS (SELECT "
      "FROM register.deliveries d WHERE d.ledger = a.ledger AND d.line = a.line AND d.outcome = 'forked'))), "
      "(SELECT count(*) FROM register.lines a WHERE a.ledger = l.ledger AND a.why = 'restored'), "
      "(SELECT count(*) FROM register.deliveries d WHERE d.ledger = l.ledger AND d.outcome IN ('rolled-back', "
      "'other-past')), 0, CASE WHEN w.line = p.line AND w.seq = p.size THEN 'current' ELSE 'behind' END "
      "FROM register.ledgers l JOIN present p ON p.ledger = l.ledger LEFT JOIN derived.watermark w ON "
      "w.ledger = l.ledger ORDER BY facility, l.ledger";
  TRY_LET(const auto stolen, signed_after_theft(connection));
  TRY_LET(auto answer, asked(connection, "facilities",
                             {"ledger", "facility", "entries", "received", "last_event", "cosigned", "forks",
                              "restores", "warnings", "signed_after_theft", "tables"},
                             {"entries", "cosigned", "forks", "restores", "warnings", "signed_after_theft"}, sql));
  constexpr std::size_t signed_after = 9;
  for (auto& row : answer.rows) {
    const auto found = stolen.find(row.front().text());
    if (found != stolen.end()) row[signed_after] = found->second;
  }
  return answer;
}

Result<Answer> lot(Connection& connection, const std::string& lot) {
  const std::string sql =
      "SELECT l.ledger, " + title +
      "AS facility, r.loads, r.packs, r.procedures, nullif(r.load_ids, ''), nullif(r.pack_ids, ''), "
      "nullif(r.procedure_ids, '') FROM derived.lot_reach r JOIN register.ledgers l ON l.ledger = "
      "r.ledger WHERE r.lot = $1 ORDER BY facility, l.ledger";
  TRY_LET(const auto late, behind(connection));  // before: a table that is finished meanwhile was not asked
  TRY_LET(auto answer,
          asked(connection, "lot",
                {"ledger", "facility", "loads", "packs", "procedures", "load_ids", "pack_ids", "procedure_ids"},
                {"loads", "packs", "procedures"}, sql, Parameters().add(lot)));
  if (answer.rows.empty()) {
    if (late.empty()) return Error(ErrorCode::missing, say("district.lot-unknown", {{"lot", lot}}));
    answer.notes.push_back(say("district.lot-not-yet", {{"lot", lot}}));
  }
  answer.more.set("lot", lot);
  answer.notes.push_back(say("district.lot-note"));
  return answer;
}

Result<Answer> silent(Connection& connection, std::int64_t days, Instant now) {
  const std::string sql =
      "WITH present AS (" + present_pasts +
      "), heard AS (SELECT p.ledger, max(s.received) AS received FROM present p JOIN "
      "register.states s ON s.ledger = p.ledger AND s.line = p.line GROUP BY p.ledger) SELECT l.ledger, " +
      title + "AS facility, " + moment("h.received") + ", " + moment("w.last_at") +
      ", floor(extract(epoch FROM ($2::timestamptz - least(h.received, w.last_at))) / 86400)::bigint AS days FROM "
      "register.ledgers l JOIN heard h ON h.ledger = l.ledger LEFT JOIN derived.watermark w ON w.ledger = l.ledger "
      "WHERE "
      "least(h.received, w.last_at) < $2::timestamptz - make_interval(days => $1::int) ORDER BY days DESC, facility";
  TRY_LET(auto answer, asked(connection, "silent", {"ledger", "facility", "received", "last_event", "days"}, {"days"},
                             sql, Parameters().add(days).add(now)));
  answer.more.set("days", days);
  answer.notes.push_back(say("district.silent-note"));
  return answer;
}

Result<Answer> sizes(Connection& connection, const std::optional<std::string>& ledger) {
  const std::string sql =
      "SELECT l.ledger, " + title + "AS facility, s.line, s.size, " + moment("s.received") +
      ", encode(s.root, 'hex'), CASE WHEN s.cosigned IS NULL THEN 'no' ELSE 'yes' END FROM register.states "
      "s JOIN register.ledgers l ON l.ledger = s.ledger WHERE $1::text IS NULL OR s.ledger = $1 ORDER BY "
      "facility, l.ledger, s.line, s.size";
  return asked(connection, "sizes", {"ledger", "facility", "line", "size", "received", "root", "cosigned_state"},
               {"line", "size"}, sql, Parameters().add(ledger));
}

Result<Answer> apart(Connection& connection) {
  const std::string sql =
      "SELECT l.ledger, " + title + "AS facility, " + moment("d.received") +
      ", d.outcome, d.since, d.size, d.parted, d.entries FROM register.deliveries d JOIN "
      "register.ledgers l ON l.ledger = d.ledger WHERE d.outcome IN ('forked', 'restored', 'rolled-back', "
      "'other-past') ORDER BY d.received, facility, d.sha256";
  return asked(connection, "apart",
               {"ledger", "facility", "received", "outcome", "since", "size", "parted", "new_entries"},
               {"since", "size", "parted", "new_entries"}, sql);
}

}  // namespace trayproof::registry
