// Over time, and one part of the day against another.
#include "report/answers/question.h"

namespace trayproof::answers {

std::vector<Question> chart_questions() {
  return {
      {.id = "hold-times",
       .parameters = {{"equipment"}},
       .columns = {{"load"}, {"started", Sort::time}, {"from", Sort::word}, {"hold_min", Sort::number}},
       .query = R"(
SELECT l.load, l.start_ms,
       CASE WHEN j.curve IS NOT NULL THEN 'curve' ELSE 'operator' END,
       round(coalesce(json_extract(j.hold, '$.minutes'), l.read_hold_min), 2)
FROM loads l LEFT JOIN curves v ON v.load = l.load LEFT JOIN curve_judged j ON j.seq = v.judged_seq
WHERE l.start_ms BETWEEN :from AND :until AND l.equipment = :equipment
  AND coalesce(json_extract(j.hold, '$.minutes'), l.read_hold_min) IS NOT NULL
ORDER BY l.start_ms, l.load)",
       .counts = R"(
SELECT count(*), coalesce(sum(read_hold_min IS NULL AND curves = 0), 0)
FROM loads WHERE start_ms BETWEEN :from AND :until AND equipment = :equipment)",
       .chart = Chart::individuals},

      {.id = "is-it-improving",
       .parameters = {{"measure", "late-entries"}},
       .columns = {{"week", Sort::day}, {"found", Sort::number}, {"of", Sort::number}, {"share", Sort::share}},
       .query = R"(
WITH measured AS (
  SELECT at_ms, coalesce(entered_ms, recorded_ms) - at_ms > 14400000 AS bad FROM every_event
    WHERE :measure = 'late-entries' AND given = 1 AND at_ms BETWEEN :from AND :until
  UNION ALL SELECT at_ms, patient IS NULL FROM procedure_done
    WHERE :measure = 'patients-not-recorded' AND at_ms BETWEEN :from AND :until
  UNION ALL SELECT k.at_ms, s.ended_ms - s.at_ms < 600000 FROM soaked k JOIN soaks s ON s.origin = k.origin
    WHERE :measure = 'soaks-under-10-min' AND k.at_ms BETWEEN :from AND :until AND s.ended_ms IS NOT NULL
  UNION ALL SELECT start_ms, dry = 0 FROM loads
    WHERE :measure = 'wet-loads' AND start_ms BETWEEN :from AND :until AND dry IS NOT NULL
      AND method IN ('steam-gravity', 'steam-prevacuum')
  UNION ALL SELECT start_ms, evidence = 'missing' FROM loads
    WHERE :measure = 'loads-without-evidence' AND start_ms BETWEEN :from AND :until
  UNION ALL SELECT at_ms, early IS NOT NULL FROM load_released
    WHERE :measure = 'early-releases' AND at_ms BETWEEN :from AND :until
  UNION ALL SELECT i.at_ms, json_array_length(i.found) > 0 FROM inspected i
    WHERE :measure = 'inspections-with-finding' AND i.at_ms BETWEEN :from AND :until AND i.found IS NOT NULL),
by_week AS (
  SELECT (SELECT w.from_ms FROM weeks w WHERE w.from_ms <= m.at_ms ORDER BY w.from_ms DESC LIMIT 1) AS week_ms,
         sum(m.bad) AS found, count(*) AS n
  FROM measured m GROUP BY 1)
SELECT w.name, coalesce(b.found, 0), coalesce(b.n, 0)
FROM weeks w LEFT JOIN by_week b ON b.week_ms = w.from_ms
ORDER BY w.from_ms)",
       .counts = R"(
SELECT CASE :measure
  WHEN 'late-entries' THEN (SELECT count(*) FROM every_event WHERE given = 1 AND at_ms BETWEEN :from AND :until)
  WHEN 'patients-not-recorded' THEN (SELECT count(*) FROM procedure_done WHERE at_ms BETWEEN :from AND :until)
  WHEN 'soaks-under-10-min' THEN (SELECT count(*) FROM soaked WHERE at_ms BETWEEN :from AND :until)
  WHEN 'early-releases' THEN (SELECT count(*) FROM load_released WHERE at_ms BETWEEN :from AND :until)
  WHEN 'inspections-with-finding' THEN (SELECT count(*) FROM inspected WHERE at_ms BETWEEN :from AND :until)
  WHEN 'wet-loads' THEN (SELECT count(*) FROM loads WHERE start_ms BETWEEN :from AND :until
    AND method IN ('steam-gravity', 'steam-prevacuum'))
  ELSE (SELECT count(*) FROM loads WHERE start_ms BETWEEN :from AND :until) END,
  CASE :measure
  WHEN 'soaks-under-10-min' THEN (SELECT count(*) FROM soaked k JOIN soaks s ON s.origin = k.origin
    WHERE k.at_ms BETWEEN :from AND :until AND s.ended_ms IS NULL)
  WHEN 'wet-loads' THEN (SELECT count(*) FROM loads WHERE start_ms BETWEEN :from AND :until AND dry IS NULL
    AND method IN ('steam-gravity', 'steam-prevacuum'))
  WHEN 'inspections-with-finding' THEN
    (SELECT count(*) FROM inspected WHERE at_ms BETWEEN :from AND :until AND found IS NULL)
  ELSE 0 END)",
       .chart = Chart::run},

      {.id = "nights-and-days",
       .columns = {{"measure", Sort::word},
                   {"when", Sort::word},
                   {"found", Sort::number},
                   {"of", Sort::number},
                   {"share", Sort::share}},
       .query = R"(
WITH measured (measure, at_ms, bad) AS (
  SELECT 'procedure without patient', at_ms, patient IS NULL FROM procedure_done WHERE at_ms BETWEEN :from AND :until
  UNION ALL SELECT 'procedure without set', at_ms,
    coalesce(disposable, 0) = 0 AND json_array_length(coalesce(packs, '[]')) = 0
    FROM procedure_done WHERE at_ms BETWEEN :from AND :until
  UNION ALL SELECT 'procedure entered after 4 h', at_ms, coalesce(entered_ms, recorded_ms) - at_ms > 14400000
    FROM procedure_done WHERE at_ms BETWEEN :from AND :until
  UNION ALL SELECT 'soak under 10 min', k.at_ms, s.ended_ms - s.at_ms < 600000 FROM soaked k
    JOIN soaks s ON s.origin = k.origin WHERE k.at_ms BETWEEN :from AND :until AND s.ended_ms IS NOT NULL
  UNION ALL SELECT 'load released early', at_ms, early IS NOT NULL FROM load_released
    WHERE at_ms BETWEEN :from AND :until),
on_days AS (
  SELECT m.*, (SELECT d.from_ms FROM days d WHERE d.from_ms <= m.at_ms ORDER BY d.from_ms DESC LIMIT 1) AS day_ms
  FROM measured m),
placed AS (
  SELECT m.measure, m.bad, CASE WHEN d.weekday IN (6, 7) THEN 'weekend'
    WHEN m.at_ms - d.from_ms BETWEEN 25200000 AND 68399999 THEN 'day' ELSE 'night' END AS part
  FROM on_days m JOIN days d ON d.from_ms = m.day_ms)
SELECT measure, part, sum(bad), count(*)
FROM placed
GROUP BY measure, part
ORDER BY measure, part)",
       .counts = R"(
SELECT (SELECT count(*) FROM procedure_done WHERE at_ms BETWEEN :from AND :until)
       + (SELECT count(*) FROM soaked WHERE at_ms BETWEEN :from AND :until)
       + (SELECT count(*) FROM load_released WHERE at_ms BETWEEN :from AND :until),
       (SELECT count(*) FROM soaked k JOIN soaks s ON s.origin = k.origin
        WHERE k.at_ms BETWEEN :from AND :until AND s.ended_ms IS NULL))"},

      {.id = "coverage",
       .columns = {{"month", Sort::day},
                   {"step", Sort::word},
                   {"with", Sort::number},
                   {"of", Sort::number},
                   {"share", Sort::share}},
       .query = R"(
WITH used AS (
  SELECT DISTINCT m.from_ms, m.name, u.procedure, u.pack, u.load, u.use_ms, p."set", p.outside, p.indicator_lot
  FROM months m JOIN procedure_done d ON d.at_ms BETWEEN m.from_ms AND m.until_ms
    JOIN uses u ON u.procedure = d.procedure AND u.origin = d.origin JOIN packs p ON p.pack = u.pack
  WHERE p.outside = 0),
steps (from_ms, name, place, step, yes) AS (
  SELECT from_ms, name, 1, 'soak or cleaning recorded', EXISTS (SELECT 1 FROM turns t WHERE t.pack = used.pack
    AND t.kind IN ('soaked', 'cleaned')) FROM used
  UNION ALL SELECT from_ms, name, 2, 'inspection recorded', EXISTS (SELECT 1 FROM turns t WHERE t.pack = used.pack
    AND t.kind = 'inspected') FROM used
  UNION ALL SELECT from_ms, name, 3, 'packing recorded', "set" IS NOT NULL FROM used
  UNION ALL SELECT from_ms, name, 4, 'indicator inside', indicator_lot IS NOT NULL FROM used
  UNION ALL SELECT from_ms, name, 5, 'load recorded', load IS NOT NULL FROM used
  UNION ALL SELECT from_ms, name, 6, 'load with evidence', coalesce((SELECT l.evidence = 'recorded' FROM loads l
    WHERE l.load = used.load), 0) FROM used
  UNION ALL SELECT from_ms, name, 7, 'load released', coalesce((SELECT l.decision = 'released' FROM loads l
    WHERE l.load = used.load), 0) FROM used
    WHERE used.load IS NULL OR EXISTS (SELECT 1 FROM release_wanted w WHERE w.load = used.load)
  UNION ALL SELECT from_ms, name, 8, 'inside indicator read', EXISTS (SELECT 1 FROM indicators i
    WHERE i.pack = used.pack AND i.at_ms <= used.use_ms) FROM used
  UNION ALL SELECT from_ms, name, 9, 'opening recorded', EXISTS (SELECT 1 FROM pack_moves v WHERE v.pack = used.pack
    AND v.kind = 'pack-opened' AND v.at_ms <= used.use_ms) FROM used)
SELECT name, step, sum(yes), count(*)
FROM steps
GROUP BY from_ms, place
ORDER BY from_ms, place)",
       .counts = R"(
SELECT count(*), coalesce(sum(p.outside), 0) FROM (
  SELECT DISTINCT u.procedure, u.pack FROM procedure_done d JOIN uses u ON u.procedure = d.procedure AND u.origin = d.origin
  WHERE d.at_ms BETWEEN :from AND :until) u JOIN packs p ON p.pack = u.pack)"},
  };
}

}  // namespace trayproof::answers
