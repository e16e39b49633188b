#include "report/register/questions.h"

#include "ledger/words/words.h"
#include "report/register/derive.h"
#include "report/register/foreign_text.h"

namespace trayproof::registry {
namespace {

using json::Value;

// The title last described, else the ledger's id.
constexpr const char* title =
    "coalesce((SELECT d.title FROM derived.facility_described d WHERE d.ledger = l.ledger ORDER BY d.at_time DESC, "
    "d.origin "
    "DESC LIMIT 1), l.ledger) ";

constexpr const char* present =
    "present AS (SELECT DISTINCT ON (ledger) ledger, line FROM register.lines WHERE why <> 'fork' ORDER BY ledger, "
    "line DESC) ";

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
      std::string("WITH ") + present +
      ", stolen AS (SELECT k.ledger, count(DISTINCT e.seq) AS entries FROM derived.key_retired k JOIN present p ON "
      "p.ledger = "
      "k.ledger JOIN register.entries e ON e.ledger = k.ledger AND e.line <= p.line AND e.recorded >= k.since_time AND "
      "strpos(e.entry, '\"key\":\"' || k.public || '\"') > 0 WHERE k.cause = 'stolen' GROUP BY k.ledger) "
      "SELECT l.ledger, " +
      title +
      "AS facility, (SELECT max(s.size) FROM register.states s WHERE s.ledger = l.ledger AND s.line = p.line), " +
      moment("(SELECT max(s.received) FROM register.states s WHERE s.ledger = l.ledger AND s.line = p.line)") + ", " +
      moment("w.last_at") +
      ", (SELECT max(s.size) FROM register.states s WHERE s.ledger = l.ledger AND s.cosigned IS NOT NULL), "
      "(SELECT count(*) FROM register.lines a WHERE a.ledger = l.ledger AND (a.why = 'fork' OR EXISTS (SELECT "
      "FROM register.deliveries d WHERE d.ledger = a.ledger AND d.line = a.line AND d.outcome = 'forked'))), "
      "(SELECT count(*) FROM register.lines a WHERE a.ledger = l.ledger AND a.why = 'restored'), "
      "(SELECT count(*) FROM register.deliveries d WHERE d.ledger = l.ledger AND d.outcome IN ('rolled-back', "
      "'other-past')), "
      "coalesce(t.entries, 0), CASE WHEN w.line = p.line AND w.seq = (SELECT max(s.size) FROM register.states s WHERE "
      "s.ledger = l.ledger AND s.line = p.line) THEN 'current' ELSE 'behind' END FROM register.ledgers l JOIN present p ON p.ledger = l.ledger LEFT JOIN "
      "derived.watermark w ON "
      "w.ledger = l.ledger LEFT JOIN stolen t ON t.ledger = l.ledger ORDER BY facility, l.ledger";
  return asked(connection, "facilities",
               {"ledger", "facility", "entries", "received", "last_event", "cosigned", "forks", "restores", "warnings",
                "signed_after_theft", "tables"},
               {"entries", "cosigned", "forks", "restores", "warnings", "signed_after_theft"}, sql);
}

Result<Answer> lot(Connection& connection, const std::string& lot) {
  // Loads that the lot affects with all their packs, packs that it affects alone, and the procedures that either
  // reached.
  const std::string sql = std::string(R"(
WITH facilities AS (
  SELECT DISTINCT ledger FROM derived.mentions WHERE thing = 'lot' AND id = $1 AND holds = 1),
few AS MATERIALIZED (
  SELECT ledger, kind, field, origin FROM derived.mentions WHERE thing = 'lot' AND id = $1 AND holds = 1 AND
    kind IN ('biological-placed', 'biological-read', 'solution-prepared', 'procedure-done')),
whole AS MATERIALIZED (
  SELECT ledger, load FROM derived.indicators WHERE lot = $1 AND load IS NOT NULL
  UNION SELECT n.ledger, b.load FROM few n JOIN derived.biological_placed b ON b.ledger = n.ledger AND b.origin = n.origin
    WHERE n.kind = 'biological-placed'
  UNION SELECT n.ledger, b.load FROM few n JOIN derived.biological_read b ON b.ledger = n.ledger AND b.origin = n.origin
    WHERE n.kind = 'biological-read'
  UNION SELECT n.ledger, o.load FROM few n JOIN derived.solution_prepared p ON p.ledger = n.ledger AND p.origin = n.origin
    JOIN derived.loads o ON o.ledger = p.ledger AND o.solution = p.solution WHERE n.kind = 'solution-prepared'),
alone AS MATERIALIZED (
  SELECT ledger, pack FROM derived.packed WHERE indicator_lot = $1 OR wrap_lot = $1
  UNION SELECT ledger, pack FROM derived.pack_received WHERE lot = $1),
things AS (
  SELECT ledger, 'load' AS thing, load AS id FROM whole
  UNION SELECT h.ledger, 'load', h.load FROM alone a JOIN derived.load_packs h ON h.ledger = a.ledger AND h.pack = a.pack
  UNION SELECT h.ledger, 'pack', h.pack FROM whole a JOIN derived.load_packs h ON h.ledger = a.ledger AND h.load = a.load
  UNION SELECT ledger, 'pack', pack FROM alone
  UNION SELECT u.ledger, 'procedure', u.procedure FROM whole a JOIN derived.uses u ON u.ledger = a.ledger AND u.load = a.load
  UNION SELECT u.ledger, 'procedure', u.procedure FROM alone a JOIN derived.uses u ON u.ledger = a.ledger AND u.pack = a.pack
  UNION SELECT n.ledger, 'procedure', p.procedure FROM few n JOIN derived.procedure_done p ON p.ledger = n.ledger AND
    p.origin = n.origin WHERE n.kind = 'procedure-done' AND n.field = 'disposable_lot')
SELECT l.ledger, )") + title +
                          R"(AS facility,
  count(t.id) FILTER (WHERE t.thing = 'load'), count(t.id) FILTER (WHERE t.thing = 'pack'),
  count(t.id) FILTER (WHERE t.thing = 'procedure'),
  string_agg(t.id, ' ' ORDER BY t.id) FILTER (WHERE t.thing = 'load'),
  string_agg(t.id, ' ' ORDER BY t.id) FILTER (WHERE t.thing = 'pack'),
  string_agg(t.id, ' ' ORDER BY t.id) FILTER (WHERE t.thing = 'procedure')
FROM facilities n JOIN register.ledgers l ON l.ledger = n.ledger
LEFT JOIN things t ON t.ledger = l.ledger GROUP BY l.ledger ORDER BY facility, l.ledger)";
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
      std::string("WITH ") + present +
      ", heard AS (SELECT p.ledger, max(s.received) AS received FROM present p JOIN "
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
      std::string("SELECT l.ledger, ") + title + "AS facility, s.line, s.size, " + moment("s.received") +
      ", encode(s.root, 'hex'), CASE WHEN s.cosigned IS NULL THEN 'no' ELSE 'yes' END FROM register.states "
      "s JOIN register.ledgers l ON l.ledger = s.ledger WHERE $1::text IS NULL OR s.ledger = $1 ORDER BY "
      "facility, l.ledger, s.line, s.size";
  return asked(connection, "sizes", {"ledger", "facility", "line", "size", "received", "root", "cosigned_state"},
               {"line", "size"}, sql, Parameters().add(ledger));
}

Result<Answer> apart(Connection& connection) {
  const std::string sql =
      std::string("SELECT l.ledger, ") + title + "AS facility, " + moment("d.received") +
      ", d.outcome, d.since, d.size, d.parted, d.entries FROM register.deliveries d JOIN "
      "register.ledgers l ON l.ledger = d.ledger WHERE d.outcome IN ('forked', 'restored', 'rolled-back', "
      "'other-past') ORDER BY d.received, facility, d.sha256";
  return asked(connection, "apart",
               {"ledger", "facility", "received", "outcome", "since", "size", "parted", "new_entries"},
               {"since", "size", "parted", "new_entries"}, sql);
}

}  // namespace trayproof::registry
