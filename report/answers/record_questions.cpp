// The record itself: late, changed, counted elsewhere, not looked at.
#include "report/answers/question.h"

namespace trayproof::answers {

std::vector<Question> record_questions() {
  return {
      {.id = "late-entries",
       .columns = {{"delay", Sort::word}, {"events", Sort::number}, {"of", Sort::number}, {"share", Sort::share}},
       .query = R"(
WITH delays AS (
  SELECT (coalesce(entered_ms, recorded_ms) - at_ms) / 3600000.0 AS hours FROM every_event
  WHERE given = 1 AND at_ms BETWEEN :from AND :until),
bands (place, name, low, high) AS (VALUES (1, 'within 1 h', -1e12, 1), (2, '1 to 4 h', 1, 4), (3, '4 to 24 h', 4, 24),
  (4, '24 to 72 h', 24, 72), (5, 'over 72 h', 72, 1e12)),
counted_delays AS (
  SELECT CASE WHEN hours < 1 THEN 1 WHEN hours < 4 THEN 2 WHEN hours < 24 THEN 3 WHEN hours < 72 THEN 4 ELSE 5 END AS place,
         count(*) AS n FROM delays GROUP BY 1)
SELECT b.name, coalesce(c.n, 0), (SELECT sum(n) FROM counted_delays)
FROM bands b LEFT JOIN counted_delays c ON c.place = b.place
ORDER BY b.place)",
       .counts = R"(
SELECT count(*), 0 FROM every_event WHERE given = 1 AND at_ms BETWEEN :from AND :until)"},

      {.id = "latest-entries",
       .parameters = {{"hours", "24"}},
       .columns = {{"at", Sort::time},
                   {"entered", Sort::time},
                   {"hours", Sort::number},
                   {"kind", Sort::word},
                   {"by"},
                   {"paper"},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT at_ms, coalesce(entered_ms, recorded_ms), round((coalesce(entered_ms, recorded_ms) - at_ms) / 3600000.0, 2),
       kind, "by", paper, seq
FROM every_event
WHERE given = 1 AND at_ms BETWEEN :from AND :until AND coalesce(entered_ms, recorded_ms) - at_ms > 3600000 * :hours
ORDER BY 3 DESC, seq)",
       .counts = R"(
SELECT count(*), 0 FROM every_event WHERE given = 1 AND at_ms BETWEEN :from AND :until)"},

      {.id = "changes",
       .columns = {{"at", Sort::time},
                   {"of", Sort::entry},
                   {"kind", Sort::word},
                   {"by"},
                   {"second"},
                   {"countersigned", Sort::yes_no},
                   {"why", Sort::written},
                   {"holds", Sort::yes_no},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT c.at_ms, c.of, coalesce(f.kind, 'never happened'), c."by", c.second,
       EXISTS (SELECT 1 FROM countersigned s WHERE s.of = c.seq), c.why, f.holds, c.seq
FROM corrected c JOIN corrections f ON f.seq = c.seq
WHERE c.at_ms BETWEEN :from AND :until
ORDER BY c.at_ms, c.seq)",
       .counts = R"(
SELECT count(*), 0 FROM every_event WHERE at_ms BETWEEN :from AND :until)"},

      {.id = "entries-by-month",
       .columns = {{"month", Sort::day},
                   {"happened", Sort::number},
                   {"entered_then", Sort::number},
                   {"first_entry", Sort::entry},
                   {"last_entry", Sort::entry}},
       .query = R"(
WITH happened AS (
  SELECT (SELECT m.from_ms FROM months m WHERE m.from_ms <= e.at_ms ORDER BY m.from_ms DESC LIMIT 1) AS month_ms, e.seq,
         e.recorded_ms
  FROM every_event e WHERE e.at_ms BETWEEN :from AND :until),
by_month AS (
  SELECT h.month_ms, count(*) AS n, sum(h.recorded_ms <= m.until_ms) AS then_too, min(h.seq) AS low, max(h.seq) AS high
  FROM happened h JOIN months m ON m.from_ms = h.month_ms GROUP BY h.month_ms)
SELECT m.name, coalesce(b.n, 0), coalesce(b.then_too, 0), b.low, b.high
FROM months m LEFT JOIN by_month b ON b.month_ms = m.from_ms
ORDER BY m.from_ms)",
       .counts = R"(
SELECT count(*), (SELECT count(*) FROM unknown_events) FROM every_event WHERE at_ms BETWEEN :from AND :until)"},

      {.id = "originals",
       .scope = Scope::whole,
       .parameters = {{"id"}},
       .columns = {{"at", Sort::time},
                   {"kind", Sort::word},
                   {"thing", Sort::word},
                   {"paper"},
                   {"files", Sort::number},
                   {"by"},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT DISTINCT at_ms, kind, thing, paper, json_array_length(coalesce(files, '[]')), "by", seq
FROM named_events
WHERE thing IN ('pack', 'load', 'set', 'solution', 'lot', 'person', 'equipment', 'procedure', 'biological', 'recall')
  AND id = :id
ORDER BY at_ms, seq, thing)",
       .counts = R"(
SELECT count(DISTINCT origin), count(DISTINCT CASE WHEN paper IS NULL AND files IS NULL THEN origin END)
FROM named_events
WHERE thing IN ('pack', 'load', 'set', 'solution', 'lot', 'person', 'equipment', 'procedure', 'biological', 'recall')
  AND id = :id)"},

      {.id = "sop-history",
       .scope = Scope::whole,
       .columns = {{"title"},
                   {"in_force", Sort::time},
                   {"recorded", Sort::time},
                   {"by"},
                   {"confirmed", Sort::time},
                   {"confirmed_by"},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT s.title, s.in_force_ms, s.recorded_ms, s."by",
       (SELECT min(c.at_ms) FROM sop_confirmed c WHERE c.sop = s.seq),
       (SELECT c."by" FROM sop_confirmed c WHERE c.sop = s.seq ORDER BY c.at_ms LIMIT 1), s.seq
FROM sop_adopted s
ORDER BY s.seq)",
       .counts = R"(
SELECT count(*), coalesce(sum(NOT EXISTS (SELECT 1 FROM sop_confirmed c WHERE c.sop = sop_adopted.seq)), 0)
FROM sop_adopted)"},

      {.id = "limit-history",
       .scope = Scope::whole,
       .parameters = {{"key"}},
       .columns = {{"key"},
                   {"value", Sort::word},
                   {"from", Sort::time},
                   {"until", Sort::time},
                   {"by"},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT x.key, x.value, CASE WHEN x.from_ms > -9e15 THEN x.from_ms END, CASE WHEN x.until_ms < 9e15 THEN x.until_ms END,
       s."by", x.edition
FROM limits x LEFT JOIN sop_adopted s ON s.seq = x.edition
WHERE x.key = :key OR x.key LIKE :key || '%'
ORDER BY x.key, x.from_ms, x.edition)",
       .counts = R"(
SELECT count(DISTINCT edition), count(DISTINCT edition) - (SELECT count(DISTINCT edition) FROM limits x
  WHERE x.key = :key OR x.key LIKE :key || '%') FROM limits)"},

      {.id = "births-and-sets",
       .columns = {{"from", Sort::time},
                   {"until", Sort::time},
                   {"what", Sort::word},
                   {"counted", Sort::number},
                   {"recorded", Sort::number},
                   {"with_packs", Sort::number},
                   {"disposable", Sort::number},
                   {"packs", Sort::number},
                   {"difference", Sort::number},
                   {"other", Sort::number},
                   {"other_sorts", Sort::word},
                   {"entry", Sort::entry}},
       .query = R"(
WITH of_counts AS (
  SELECT c.*, d.n, d.kit, d.birth, d.operation,
    CASE c.what WHEN 'operations' THEN d.operation ELSE d.birth END AS fits
  FROM counted c LEFT JOIN procedure_sorts d ON d.at_ms BETWEEN c.from_ms AND c.until_ms
  WHERE c.at_ms BETWEEN :from AND :until AND c.what IN ('births', 'operations'))
SELECT from_ms, until_ms, what, number, coalesce(sum(fits), 0), coalesce(sum(fits AND n > 0), 0),
       coalesce(sum(fits AND kit = 1), 0), coalesce(sum(CASE WHEN fits THEN n END), 0), number - coalesce(sum(fits), 0),
       coalesce(sum(NOT birth AND NOT operation), 0),
       (SELECT group_concat(sort || ' ' || times, ', ') FROM (SELECT d.sort, count(*) AS times FROM procedure_sorts d
          WHERE d.at_ms BETWEEN of_counts.from_ms AND of_counts.until_ms AND NOT d.birth AND NOT d.operation
          GROUP BY d.sort ORDER BY count(*) DESC, d.sort LIMIT 20)), seq
FROM of_counts
GROUP BY origin
ORDER BY from_ms, what)",
       .counts = R"(
SELECT count(*), coalesce(sum(number IS NULL), 0) FROM counted
WHERE at_ms BETWEEN :from AND :until AND what IN ('births', 'operations'))"},

      {.id = "counted-elsewhere",
       .columns = {{"from", Sort::time},
                   {"until", Sort::time},
                   {"what", Sort::word},
                   {"counted", Sort::number},
                   {"recorded", Sort::number},
                   {"difference", Sort::number},
                   {"entry", Sort::entry}},
       .query = R"(
WITH beside AS (
  SELECT c.*, CASE c.what
    WHEN 'strips' THEN (SELECT count(*) FROM indicator_read i WHERE i.at_ms BETWEEN c.from_ms AND c.until_ms)
    WHEN 'packs-on-shelf' THEN (SELECT count(DISTINCT m.pack) FROM pack_moves m
      WHERE (m.kind = 'pack-stored' OR (m.kind = 'pack-returned' AND m.state = 'closed'))
        AND m.at_ms <= c.until_ms AND (m.left_ms IS NULL OR m.left_ms > c.until_ms))
    ELSE (SELECT count(*) FROM procedure_done d WHERE d.at_ms BETWEEN c.from_ms AND c.until_ms) END AS here
  FROM counted c
  WHERE c.at_ms BETWEEN :from AND :until AND c.what IN ('strips', 'packs-on-shelf', 'nothing-done'))
SELECT from_ms, until_ms, what, number, here, number - here, seq FROM beside ORDER BY from_ms, what, seq)",
       .counts = R"(
SELECT count(*), coalesce(sum(number IS NULL), 0) FROM counted
WHERE at_ms BETWEEN :from AND :until AND what IN ('strips', 'packs-on-shelf', 'nothing-done'))"},

      {.id = "recalls",
       .scope = Scope::whole,
       .columns = {{"recall"},
                   {"because", Sort::word},
                   {"drill", Sort::yes_no},
                   {"opened", Sort::time},
                   {"to_list_min", Sort::number},
                   {"packs", Sort::number},
                   {"procedures", Sort::number},
                   {"packs_to_find", Sort::number},
                   {"answered_packs", Sort::number},
                   {"procedures_to_answer", Sort::number},
                   {"answered_procedures", Sort::number},
                   {"state", Sort::word},
                   {"closed", Sort::time},
                   {"second"},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT o.recall, o.because, coalesce(o.drill, 0), o.at_ms,
       round((o.at_ms - (SELECT min(b.at_ms) FROM biologicals b WHERE b.load = json_extract(o.subject, '$.load')
          AND b.result = 'positive' AND b.at_ms <= o.at_ms)) / 60000.0, 1),
       json_extract(o.counts, '$.packs'), json_extract(o.counts, '$.procedures'),
       w.packs_to_find, w.packs_answered, w.procedures, w.procedures_answered, w.state,
       (SELECT max(c.at_ms) FROM recall_closed c WHERE c.recall = o.recall),
       (SELECT c.second FROM recall_closed c WHERE c.recall = o.recall), o.seq
FROM recall_opened o LEFT JOIN recall_work w ON w.recall = o.recall
ORDER BY o.at_ms, o.recall)",
       .counts = R"(
SELECT count(*), (SELECT count(*) FROM recall_work WHERE state IS NULL) FROM recall_opened)"},

      {.id = "answered-findings",
       .columns = {{"at", Sort::time},
                   {"rule"},
                   {"subject"},
                   {"state", Sort::word},
                   {"text", Sort::written},
                   {"due", Sort::day},
                   {"effect_checked", Sort::word},
                   {"by"},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT at_ms, rule, json_extract(subject, '$.kind') || ' ' || json_extract(subject, '$.id'), state, text, due,
       effect_checked, "by", seq
FROM finding_answered
WHERE at_ms BETWEEN :from AND :until
ORDER BY at_ms, seq)",
       .counts = R"(
SELECT count(*), 0 FROM finding_answered WHERE at_ms BETWEEN :from AND :until)"},

      {.id = "limits-not-stated",
       .columns = {{"key"}, {"default", Sort::word}},
       .query = R"(
SELECT key, usual FROM sop_keys k
WHERE NOT EXISTS (SELECT 1 FROM limits x WHERE x.plain = k.key AND x.stated = 1
                  AND x.until_ms >= :until AND x.from_ms <= :until)
ORDER BY place)",
       .counts = R"(
SELECT count(*), 0 FROM sop_keys)"},
  };
}

}  // namespace trayproof::answers
