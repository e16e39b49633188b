// Loads and cycles: what ran, what was decided, what proves it.
#include "report/answers/question.h"

namespace trayproof::answers {

std::vector<Question> load_questions() {
  return {
      {.id = "loads-by-month",
       .columns = {{"month", Sort::day},
                   {"equipment"},
                   {"method", Sort::word},
                   {"loads", Sort::number},
                   {"complete", Sort::number},
                   {"released", Sort::number},
                   {"rejected", Sort::number},
                   {"undecided", Sort::number},
                   {"no_decision_wanted", Sort::number},
                   {"with_curve", Sort::number},
                   {"packs", Sort::number}},
       .query = R"(
SELECT m.name, l.equipment, l.method, count(*), sum(l.complete = 1), sum(coalesce(l.decision, '') = 'released'),
       sum(coalesce(l.decision, '') = 'rejected'), sum(l.decision IS NULL AND (w.load IS NOT NULL OR l.method IS NULL)),
       sum(l.decision IS NULL AND w.load IS NULL AND l.method IS NOT NULL), sum(l.curves > 0), sum(l.packs)
FROM months m JOIN loads l ON l.start_ms BETWEEN m.from_ms AND m.until_ms
  LEFT JOIN release_wanted w ON w.load = l.load
GROUP BY m.from_ms, l.equipment, l.method
ORDER BY m.from_ms, l.equipment, l.method)",
       .counts = R"(
SELECT count(*), coalesce(sum(complete IS NULL), 0) FROM loads WHERE start_ms BETWEEN :from AND :until)"},

      {.id = "random-loads",
       .parameters = {{"sample", "10"}, {"seed"}},
       .columns = {{"load"},
                   {"equipment"},
                   {"method", Sort::word},
                   {"started", Sort::time},
                   {"ended", Sort::time},
                   {"complete", Sort::yes_no},
                   {"temperature_c", Sort::number},
                   {"hold_min", Sort::number},
                   {"curve", Sort::word},
                   {"strips_passed", Sort::number},
                   {"strips_failed", Sort::number},
                   {"biologicals", Sort::number},
                   {"decision", Sort::word},
                   {"decided", Sort::time},
                   {"decided_by"},
                   {"packs", Sort::number},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT l.load, l.equipment, l.method, l.start_ms, CASE WHEN l.end_seq IS NOT NULL THEN l.end_ms END, l.complete,
       l.read_temperature_c, l.read_hold_min, l.curve_verdict, l.indicators_passed, l.indicators_failed, l.biologicals,
       l.decision, l.decision_ms, l.decision_by, l.packs, l.start_seq
FROM drawn d CROSS JOIN loads l ON l.load = d.id
ORDER BY l.start_ms, l.load)",
       .counts = R"(
SELECT count(*), coalesce(sum(l.evidence = 'missing'), 0) FROM drawn d CROSS JOIN loads l ON l.load = d.id)",
       .draw_from = R"(
SELECT load FROM loads WHERE start_ms BETWEEN :from AND :until AND start_seq IS NOT NULL)"},

      {.id = "rejected-loads",
       .columns = {{"load"},
                   {"equipment"},
                   {"rejected", Sort::time},
                   {"by"},
                   {"why", Sort::written},
                   {"pack"},
                   {"standing", Sort::word},
                   {"later_load"},
                   {"used_in"},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT r.load, l.equipment, r.at_ms, r."by", r.why, x.pack,
       CASE WHEN x.good_later = 1 AND x.standing IN ('issued', 'shelf', 'held') THEN 'reprocessed' ELSE x.standing END,
       (SELECT y.load FROM load_packs y WHERE y.pack = x.pack AND y.end_ms > x.end_ms ORDER BY y.end_ms LIMIT 1),
       (SELECT group_concat(procedure, ', ') FROM (SELECT DISTINCT u.procedure FROM uses u
          WHERE u.load = x.load AND u.pack = x.pack ORDER BY u.procedure)), r.seq
FROM load_rejected r JOIN loads l ON l.load = r.load LEFT JOIN load_packs x ON x.load = r.load
WHERE r.at_ms BETWEEN :from AND :until AND l.decision = 'rejected'
ORDER BY r.at_ms, r.load, x.pack)",
       .counts = R"(
SELECT count(*), coalesce(sum(decision IS NULL), 0) FROM loads WHERE start_ms BETWEEN :from AND :until)"},

      {.id = "undecided-loads",
       .columns = {{"load"},
                   {"equipment"},
                   {"method", Sort::word},
                   {"ended", Sort::time},
                   {"packs", Sort::number},
                   {"used_packs", Sort::number},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT l.load, l.equipment, l.method, CASE WHEN l.end_seq IS NOT NULL THEN l.end_ms END, l.packs,
       (SELECT count(DISTINCT u.pack) FROM uses u WHERE u.load = l.load), l.start_seq
FROM loads l
WHERE l.start_ms BETWEEN :from AND :until AND l.decision IS NULL
  AND EXISTS (SELECT 1 FROM release_wanted w WHERE w.load = l.load)
ORDER BY l.start_ms, l.load)",
       .counts = R"(
SELECT count(*), coalesce(sum(l.method IS NULL), 0) FROM loads l
WHERE l.start_ms BETWEEN :from AND :until AND (l.method IS NULL
  OR EXISTS (SELECT 1 FROM release_wanted w WHERE w.load = l.load)))"},

      {.id = "loads-without-evidence",
       .columns = {{"load"},
                   {"equipment"},
                   {"method", Sort::word},
                   {"started", Sort::time},
                   {"operator"},
                   {"decision", Sort::word},
                   {"packs", Sort::number},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT load, equipment, method, start_ms, operator, decision, packs, start_seq
FROM loads WHERE start_ms BETWEEN :from AND :until AND evidence = 'missing'
ORDER BY start_ms, load)",
       .counts = R"(
SELECT count(*), 0 FROM loads WHERE start_ms BETWEEN :from AND :until)"},

      {.id = "wet-loads",
       .columns =
           {{"month", Sort::day}, {"equipment"}, {"wet", Sort::number}, {"of", Sort::number}, {"share", Sort::share}},
       .query = R"(
SELECT m.name, l.equipment, sum(l.dry = 0), count(*)
FROM months m JOIN loads l ON l.start_ms BETWEEN m.from_ms AND m.until_ms
WHERE l.dry IS NOT NULL AND l.method IN ('steam-gravity', 'steam-prevacuum')
GROUP BY m.from_ms, l.equipment
ORDER BY m.from_ms, l.equipment)",
       .counts = R"(
SELECT count(*), coalesce(sum(dry IS NULL), 0) FROM loads
WHERE start_ms BETWEEN :from AND :until AND method IN ('steam-gravity', 'steam-prevacuum'))"},

      {.id = "immediate-use",
       .parameters = {{"hours", "3"}},
       .columns = {{"month", Sort::day}, {"immediate", Sort::number}, {"of", Sort::number}, {"share", Sort::share}},
       .query = R"(
WITH judged AS (
  SELECT l.load, l.start_ms, count(x.pack) = sum(coalesce(p.wrap, '') = 'unwrapped')
    AND EXISTS (SELECT 1 FROM uses u WHERE u.load = l.load AND u.use_ms <= l.end_ms + 3600000 * :hours) AS immediate
  FROM loads l CROSS JOIN load_packs x ON x.load = l.load LEFT JOIN packs p ON p.pack = x.pack
  WHERE l.start_ms BETWEEN :from AND :until AND l.method IN ('steam-gravity', 'steam-prevacuum', 'dry-heat')
  GROUP BY l.load)
SELECT m.name, coalesce(sum(j.immediate), 0), count(j.load)
FROM months m LEFT JOIN judged j ON j.start_ms BETWEEN m.from_ms AND m.until_ms
GROUP BY m.from_ms
ORDER BY m.from_ms)",
       .counts = R"(
SELECT count(*), coalesce(sum(l.packs = 0 OR EXISTS (SELECT 1 FROM load_packs x JOIN packs p ON p.pack = x.pack
                                                     WHERE x.load = l.load AND p.wrap IS NULL)), 0)
FROM loads l
WHERE l.start_ms BETWEEN :from AND :until AND l.method IN ('steam-gravity', 'steam-prevacuum', 'dry-heat'))"},

      {.id = "early-releases",
       .columns = {{"load"},
                   {"equipment"},
                   {"released", Sort::time},
                   {"by"},
                   {"reason", Sort::written},
                   {"result_later", Sort::word},
                   {"used_before_result", Sort::number},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT r.load, l.equipment, r.at_ms, r."by", r.early,
       (SELECT b.result FROM biologicals b WHERE b.load = r.load AND b.at_ms > r.at_ms ORDER BY b.at_ms LIMIT 1),
       (SELECT count(DISTINCT u.pack) FROM uses u WHERE u.load = r.load AND u.use_ms <
          coalesce((SELECT min(b.at_ms) FROM biologicals b WHERE b.load = r.load AND b.at_ms > r.at_ms), :now)), r.seq
FROM load_released r LEFT JOIN loads l ON l.load = r.load
WHERE r.at_ms BETWEEN :from AND :until AND r.early IS NOT NULL
ORDER BY r.at_ms, r.load, r.seq)",
       .counts = R"(
SELECT count(*), 0 FROM load_released WHERE at_ms BETWEEN :from AND :until)"},

      {.id = "counter",
       .columns = {{"equipment"},
                   {"first", Sort::number},
                   {"last", Sort::number},
                   {"span", Sort::number},
                   {"recorded", Sort::number},
                   {"missing", Sort::number},
                   {"missing_numbers"}},
       .query = R"(
WITH seen AS (
  SELECT equipment, cycle, start_ms AS at_ms FROM loads
  WHERE start_ms BETWEEN :from AND :until AND cycle IS NOT NULL AND equipment IS NOT NULL
  UNION SELECT equipment, cycle, at_ms FROM equipment_checked
  WHERE at_ms BETWEEN :from AND :until AND cycle IS NOT NULL),
each AS (SELECT DISTINCT equipment, cycle FROM seen),
jumps AS (
  SELECT equipment, cycle, lag(cycle) OVER (PARTITION BY equipment ORDER BY cycle) AS before FROM each)
SELECT equipment, min(cycle), max(cycle), max(cycle) - min(cycle) + 1, count(*),
       max(cycle) - min(cycle) + 1 - count(*),
       group_concat(CASE WHEN cycle = before + 2 THEN before + 1
                         WHEN cycle > before + 2 THEN (before + 1) || ' to ' || (cycle - 1) END, ', ')
FROM jumps
GROUP BY equipment
ORDER BY equipment)",
       .counts = R"(
SELECT count(*), coalesce(sum(cycle IS NULL), 0) FROM loads
WHERE start_ms BETWEEN :from AND :until AND equipment IS NOT NULL)"},

      {.id = "same-figures",
       .columns = {{"equipment"},
                   {"loads", Sort::number},
                   {"different", Sort::number},
                   {"longest_run", Sort::number},
                   {"limit", Sort::number},
                   {"run_from"},
                   {"run_until"}},
       .query = R"(
WITH read AS (
  SELECT equipment, load, start_ms,
    coalesce(read_temperature_c, '-') || '/' || coalesce(read_pressure_kpa_gauge, '-') || '/' ||
    coalesce(read_hold_min, '-') AS figures
  FROM loads WHERE start_ms BETWEEN :from AND :until AND readings = 1 AND equipment IS NOT NULL),
placed AS (
  SELECT *, row_number() OVER (PARTITION BY equipment ORDER BY start_ms, load)
          - row_number() OVER (PARTITION BY equipment, figures ORDER BY start_ms, load) AS run FROM read),
runs AS (
  SELECT equipment, figures, run, count(*) AS n, min(start_ms) AS from_ms, max(start_ms) AS until_ms
  FROM placed GROUP BY equipment, figures, run),
longest AS (
  SELECT *, row_number() OVER (PARTITION BY equipment ORDER BY n DESC, from_ms) AS place FROM runs)
SELECT g.equipment, (SELECT count(*) FROM read r WHERE r.equipment = g.equipment),
       (SELECT count(DISTINCT figures) FROM read r WHERE r.equipment = g.equipment), g.n,
       (SELECT x.value FROM limits x WHERE x.key = 'records.alike_loads' AND g.from_ms BETWEEN x.from_ms AND x.until_ms),
       (SELECT r.load FROM read r WHERE r.equipment = g.equipment AND r.start_ms = g.from_ms ORDER BY r.load LIMIT 1),
       (SELECT r.load FROM read r WHERE r.equipment = g.equipment AND r.start_ms = g.until_ms ORDER BY r.load DESC LIMIT 1)
FROM longest g WHERE g.place = 1
ORDER BY g.equipment)",
       .counts = R"(
SELECT count(*), coalesce(sum(readings = 0), 0) FROM loads
WHERE start_ms BETWEEN :from AND :until AND equipment IS NOT NULL)"},

      {.id = "releases-by-person",
       .columns = {{"person"},
                   {"roles", Sort::word},
                   {"may", Sort::yes_no},
                   {"released", Sort::number},
                   {"rejected", Sort::number},
                   {"early", Sort::number},
                   {"ran_it_too", Sort::number},
                   {"packed_too", Sort::number}},
       .query = R"(
WITH done AS (
  SELECT "by", load, at_ms, early IS NOT NULL AS early, 1 AS released FROM load_released
  WHERE at_ms BETWEEN :from AND :until
  UNION ALL SELECT "by", load, at_ms, 0, 0 FROM load_rejected WHERE at_ms BETWEEN :from AND :until),
named AS (
  SELECT d.*, (SELECT e.roles FROM person_enrolled e WHERE e.person = d."by" AND e.at_ms <= d.at_ms
               ORDER BY e.at_ms DESC, e.seq DESC LIMIT 1) AS roles FROM done d)
SELECT n."by", (SELECT group_concat(value, ', ') FROM json_each(max(n.roles))),
       min(EXISTS (SELECT 1 FROM limits x, json_each(x.value) allowed, json_each(n.roles) has
                   WHERE x.key = 'release.roles' AND n.at_ms BETWEEN x.from_ms AND x.until_ms
                     AND allowed.value = has.value)),
       sum(n.released), sum(1 - n.released), sum(n.early),
       sum(n.released AND EXISTS (SELECT 1 FROM loads l WHERE l.load = n.load AND l.operator = n."by")),
       sum(n.released AND EXISTS (SELECT 1 FROM load_packs x JOIN packs p ON p.pack = x.pack
                                  WHERE x.load = n.load AND p.packed_by = n."by"))
FROM named n
GROUP BY n."by"
ORDER BY n."by")",
       .counts = R"(
SELECT count(*), coalesce(sum(NOT EXISTS (SELECT 1 FROM person_enrolled e WHERE e.person = r."by")), 0)
FROM load_released r WHERE r.at_ms BETWEEN :from AND :until)"},
  };
}

}  // namespace trayproof::answers
