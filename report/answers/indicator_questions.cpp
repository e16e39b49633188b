// Indicators and tests: whether they were made, read, and what came of them.
#include "report/answers/question.h"

namespace trayproof::answers {

std::vector<Question> indicator_questions() {
  return {
      {.id = "last-positive",
       .scope = Scope::whole,
       .columns =
           {{"at", Sort::time}, {"what", Sort::word}, {"id"}, {"found", Sort::word}, {"by"}, {"entry", Sort::entry}},
       .query = R"(
WITH last AS (SELECT * FROM biologicals WHERE result = 'positive' ORDER BY at_ms DESC, seq DESC LIMIT 1)
SELECT r.at_ms, 'biological read', r.load, r.result || ', control ' || coalesce(r.control, '?'), r."by", r.seq
  FROM last, biological_read r JOIN loads l ON l.load = r.load
  WHERE l.equipment IS last.equipment AND r.at_ms >= last.at_ms
UNION ALL SELECT s.at_ms, 'stopped', s.equipment, NULL, s."by", s.seq
  FROM last, equipment_stopped s WHERE s.equipment = last.equipment AND s.at_ms >= last.at_ms
UNION ALL SELECT s.at_ms, 'resumed', s.equipment, NULL, s."by", s.seq
  FROM last, equipment_resumed s WHERE s.equipment = last.equipment AND s.at_ms >= last.at_ms
UNION ALL SELECT c.at_ms, c."check", c.equipment, c.result, c."by", c.seq
  FROM last, equipment_checked c WHERE c.equipment = last.equipment AND c.at_ms >= last.at_ms
UNION ALL SELECT o.at_ms, 'recall opened', o.recall, o.because, o."by", o.seq
  FROM last, recall_opened o WHERE json_extract(o.subject, '$.load') = last.load AND o.at_ms >= last.at_ms
UNION ALL SELECT j.at_ms, 'load rejected', j.load, NULL, j."by", j.seq
  FROM last, load_rejected j JOIN loads l ON l.load = j.load
  WHERE l.equipment IS last.equipment AND j.at_ms >= last.at_ms
UNION ALL SELECT l.start_ms, 'load started', l.load, NULL, l.operator, l.start_seq
  FROM last, loads l WHERE l.equipment IS last.equipment AND l.start_ms >= last.at_ms
ORDER BY 1, 6)",
       .counts = R"(
SELECT count(*), coalesce(sum(result IS NULL), 0) FROM biologicals)"},

      {.id = "biological-frequency",
       .columns = {{"equipment"},
                   {"method", Sort::word},
                   {"loads", Sort::number},
                   {"tests", Sort::number},
                   {"that_count", Sort::number},
                   {"positive", Sort::number},
                   {"longest_days", Sort::number},
                   {"limit_days", Sort::number},
                   {"gap_from", Sort::time},
                   {"gap_until", Sort::time}},
       .query = R"(
WITH ran AS (
  SELECT equipment, method, count(*) AS loads, min(start_ms) AS first_ms, max(start_ms) AS last_ms
  FROM loads WHERE start_ms BETWEEN :from AND :until AND equipment IS NOT NULL
    AND method IN ('steam-gravity', 'steam-prevacuum', 'dry-heat')
  GROUP BY equipment, method),
marks AS (
  SELECT r.equipment, r.method, b.start_ms AS ms FROM ran r JOIN biologicals b
    ON b.equipment = r.equipment AND b.method = r.method AND b.counts = 1 AND b.start_ms BETWEEN :from AND :until
  UNION SELECT equipment, method, first_ms FROM ran
  UNION SELECT equipment, method, last_ms FROM ran),
steps AS (
  SELECT *, lag(ms) OVER (PARTITION BY equipment, method ORDER BY ms) AS before_ms FROM marks),
longest AS (
  SELECT *, row_number() OVER (PARTITION BY equipment, method ORDER BY ms - before_ms DESC, ms) AS place
  FROM steps WHERE before_ms IS NOT NULL)
SELECT r.equipment, r.method, r.loads,
       (SELECT count(*) FROM biologicals b WHERE b.equipment = r.equipment AND b.method = r.method
          AND b.start_ms BETWEEN :from AND :until),
       (SELECT count(*) FROM biologicals b WHERE b.equipment = r.equipment AND b.method = r.method
          AND b.start_ms BETWEEN :from AND :until AND b.counts = 1),
       (SELECT count(*) FROM biologicals b WHERE b.equipment = r.equipment AND b.method = r.method
          AND b.start_ms BETWEEN :from AND :until AND b.result = 'positive'),
       round((g.ms - g.before_ms) / 86400000.0, 2),
       (SELECT x.value FROM limits x WHERE x.key = 'indicators.biological_days'
          AND r.last_ms BETWEEN x.from_ms AND x.until_ms), g.before_ms, g.ms
FROM ran r LEFT JOIN longest g ON g.equipment = r.equipment AND g.method = r.method AND g.place = 1
ORDER BY r.equipment, r.method)",
       .counts = R"(
SELECT count(*), coalesce(sum(method IS NULL), 0) FROM loads
WHERE start_ms BETWEEN :from AND :until AND equipment IS NOT NULL
  AND (method IS NULL OR method IN ('steam-gravity', 'steam-prevacuum', 'dry-heat')))"},

      {.id = "biological-log",
       .columns = {{"read", Sort::time},
                   {"load"},
                   {"equipment"},
                   {"lot"},
                   {"expires", Sort::day},
                   {"hours", Sort::number},
                   {"result", Sort::word},
                   {"control", Sort::word},
                   {"counts", Sort::yes_no},
                   {"by"},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT b.at_ms, b.load, b.equipment, b.lot, b.lot_expires, b.hours, b.result, b.control, b.counts, r."by", b.seq
FROM biological_read r JOIN biologicals b ON b.origin = r.origin
WHERE r.at_ms BETWEEN :from AND :until
ORDER BY b.at_ms, b.load, b.seq)",
       .counts = R"(
SELECT count(*), coalesce(sum(b.lot IS NULL OR b.control IS NULL OR b.result IS NULL), 0)
FROM biological_read r JOIN biologicals b ON b.origin = r.origin WHERE r.at_ms BETWEEN :from AND :until)"},

      {.id = "biologicals-unread",
       .columns =
           {{"biological"}, {"load"}, {"placed", Sort::time}, {"lot"}, {"days", Sort::number}, {"entry", Sort::entry}},
       .query = R"(
SELECT p.biological, p.load, p.at_ms, p.lot, round((:now - p.at_ms) / 86400000.0, 1), p.seq
FROM biological_placed p
WHERE p.at_ms BETWEEN :from AND :until AND NOT EXISTS (
  SELECT 1 FROM biological_read r WHERE r.load = p.load AND (r.biological IS NULL OR r.biological = p.biological))
ORDER BY p.at_ms, p.biological)",
       .counts = R"(
SELECT count(*), 0 FROM biological_placed WHERE at_ms BETWEEN :from AND :until)"},

      {.id = "air-removal-days",
       .columns = {{"day", Sort::day},
                   {"equipment"},
                   {"loads", Sort::number},
                   {"first_load", Sort::time},
                   {"checked", Sort::time},
                   {"result", Sort::word},
                   {"before_first", Sort::yes_no},
                   {"entry", Sort::entry}},
       .query = R"(
WITH ran AS (
  SELECT d.name, d.from_ms, d.until_ms, l.equipment, count(*) AS loads, min(l.start_ms) AS first_ms
  FROM days d JOIN loads l ON l.start_ms BETWEEN d.from_ms AND d.until_ms
  WHERE l.method = 'steam-prevacuum' AND l.equipment IS NOT NULL
  GROUP BY d.from_ms, l.equipment),
checks AS (
  SELECT r.*, c.at_ms, c.result, c.seq,
    row_number() OVER (PARTITION BY r.from_ms, r.equipment ORDER BY c.at_ms, c.seq) AS place
  FROM ran r LEFT JOIN equipment_checked c ON c.equipment = r.equipment AND c."check" = 'air-removal'
    AND c.at_ms BETWEEN r.from_ms AND r.until_ms)
SELECT name, equipment, loads, first_ms, at_ms, result, coalesce(at_ms <= first_ms, 0), seq
FROM checks WHERE place = 1
ORDER BY from_ms, equipment)",
       .counts = R"(
SELECT count(*), 0 FROM (
  SELECT DISTINCT d.name, l.equipment FROM days d JOIN loads l ON l.start_ms BETWEEN d.from_ms AND d.until_ms
  WHERE l.method = 'steam-prevacuum' AND l.equipment IS NOT NULL))"},

      {.id = "strips",
       .columns = {{"month", Sort::day},
                   {"type", Sort::number},
                   {"read", Sort::number},
                   {"passed", Sort::number},
                   {"unreadable", Sort::number},
                   {"failed", Sort::number},
                   {"of", Sort::number},
                   {"share", Sort::share}},
       .query = R"(
SELECT m.name, coalesce(r.type, (SELECT s.type FROM supply_received s WHERE s.lot = r.lot ORDER BY s.at_ms LIMIT 1)),
       count(*), sum(r.result = 'pass'), sum(r.result = 'unreadable'), sum(r.result = 'fail'),
       sum(r.result IN ('pass', 'fail'))
FROM months m JOIN indicator_read r ON r.at_ms BETWEEN m.from_ms AND m.until_ms
GROUP BY m.from_ms, 2
ORDER BY m.from_ms, 2)",
       .counts = R"(
SELECT count(*), coalesce(sum(result IS NULL OR result = 'unreadable'), 0)
FROM indicator_read WHERE at_ms BETWEEN :from AND :until)"},

      {.id = "strips-bought-and-used",
       .columns = {{"lot"},
                   {"sort", Sort::word},
                   {"received", Sort::number},
                   {"expires", Sort::day},
                   {"packed_in", Sort::number},
                   {"read", Sort::number},
                   {"tests", Sort::number},
                   {"left", Sort::number}},
       .query = R"(
WITH bought AS (
  SELECT lot, sort, sum(count) AS received, max(expires) AS expires FROM supply_received
  WHERE sort IN ('chemical-indicator', 'biological-indicator', 'air-removal-test', 'test-strip') AND at_ms <= :until
  GROUP BY lot, sort HAVING max(expires) IS NULL OR max(expires) >= :from_day),
used AS (
  SELECT b.*, coalesce(sum(m.kind = 'packed' AND m.field = 'indicator_lot'), 0) AS inside,
    coalesce(sum(m.kind = 'indicator-read'), 0) AS read,
    coalesce(sum(m.kind = 'indicator-read' AND r.origin IS NOT NULL AND coalesce(r."where", '') <> 'inside'), 0)
      AS outside,
    coalesce(sum(m.kind IN ('biological-placed', 'solution-tested', 'equipment-checked')), 0) AS tests
  FROM bought b LEFT JOIN mentions m ON m.thing = 'lot' AND m.id = b.lot AND m.holds = 1
    LEFT JOIN indicator_read r ON m.kind = 'indicator-read' AND r.origin = m.origin
  GROUP BY b.lot, b.sort)
SELECT lot, sort, received, expires, inside, read, tests, received - inside - outside - tests
FROM used ORDER BY lot)",
       .counts = R"(
SELECT count(*), coalesce(sum(count IS NULL), 0) FROM supply_received
WHERE sort IN ('chemical-indicator', 'biological-indicator', 'air-removal-test', 'test-strip') AND at_ms <= :until
  AND (expires IS NULL OR expires >= :from_day))"},
  };
}

}  // namespace trayproof::answers
