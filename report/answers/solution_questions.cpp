// Solutions and soaks.
#include "report/answers/question.h"

namespace trayproof::answers {

std::vector<Question> solution_questions() {
  return {
      {.id = "chlorine-each-day",
       .columns = {{"day", Sort::day},
                   {"made_0_to_8", Sort::number},
                   {"made_8_to_16", Sort::number},
                   {"made_16_to_24", Sort::number},
                   {"tested", Sort::number},
                   {"tested_before_use", Sort::number},
                   {"soaks", Sort::number}},
       .query = R"(
WITH made AS (
  SELECT d.from_ms, (p.at_ms - d.from_ms) / 28800000 AS third, p.solution,
    (SELECT min(t.at_ms) FROM solution_tested t WHERE t.solution = p.solution) AS tested_ms,
    (SELECT min(s.at_ms) FROM soaks s WHERE s.solution = p.solution) AS used_ms
  FROM days d JOIN solution_prepared p ON p.at_ms BETWEEN d.from_ms AND d.until_ms AND p.use = 'decontamination'),
soaked_that_day AS (
  SELECT d.from_ms, count(s.origin) AS soaks
  FROM days d LEFT JOIN soaked s ON s.at_ms BETWEEN d.from_ms AND d.until_ms GROUP BY d.from_ms)
SELECT d.name, coalesce(sum(m.third = 0), 0), coalesce(sum(m.third = 1), 0), coalesce(sum(m.third >= 2), 0),
       count(m.tested_ms), coalesce(sum(m.tested_ms <= coalesce(m.used_ms, m.tested_ms)), 0),
       (SELECT k.soaks FROM soaked_that_day k WHERE k.from_ms = d.from_ms)
FROM days d LEFT JOIN made m ON m.from_ms = d.from_ms
GROUP BY d.from_ms
ORDER BY d.from_ms)",
       .counts = R"(
SELECT count(*), 0 FROM solution_prepared WHERE at_ms BETWEEN :from AND :until AND use = 'decontamination')"},

      {.id = "solution-log",
       .columns = {{"solution"},
                   {"agent", Sort::word},
                   {"use", Sort::word},
                   {"prepared", Sort::time},
                   {"by"},
                   {"percent", Sort::number},
                   {"by_recipe", Sort::number},
                   {"tested", Sort::time},
                   {"found_percent", Sort::number},
                   {"strip", Sort::word},
                   {"first_use", Sort::time},
                   {"last_use", Sort::time},
                   {"discarded", Sort::time},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT p.solution, p.agent, p.use, p.at_ms, p."by", p.percent,
       CASE WHEN p.stock_ml IS NOT NULL THEN round(p.stock_percent * p.stock_ml / (p.stock_ml + p.water_ml), 4)
            WHEN p.powder_g IS NOT NULL THEN round(p.available_percent * p.powder_g / p.water_ml, 4) END,
       t.at_ms, t.percent, t.strip,
       (SELECT min(ms) FROM (SELECT at_ms AS ms FROM soaks s WHERE s.solution = p.solution
          UNION ALL SELECT start_ms FROM loads l WHERE l.solution = p.solution)),
       (SELECT max(ms) FROM (SELECT at_ms AS ms FROM soaks s WHERE s.solution = p.solution
          UNION ALL SELECT start_ms FROM loads l WHERE l.solution = p.solution)),
       (SELECT x.at_ms FROM solution_discarded x WHERE x.solution = p.solution), p.seq
FROM solution_prepared p LEFT JOIN solution_tested t ON t.origin = (
  SELECT f.origin FROM solution_tested f WHERE f.solution = p.solution ORDER BY f.at_ms, f.seq LIMIT 1)
WHERE p.at_ms BETWEEN :from AND :until
ORDER BY p.at_ms, p.solution)",
       .counts = R"(
SELECT count(*), coalesce(sum(json_extract("unknown", '$.recipe') IS NOT NULL), 0)
FROM solution_prepared WHERE at_ms BETWEEN :from AND :until)"},

      {.id = "soak-times",
       .columns =
           {{"minutes", Sort::word}, {"soaks", Sort::number}, {"shortest", Sort::number}, {"longest", Sort::number}},
       .query = R"(
WITH timed AS (
  SELECT s.origin, (s.ended_ms - s.at_ms) / 60000.0 AS minutes
  FROM soaked k JOIN soaks s ON s.origin = k.origin WHERE k.at_ms BETWEEN :from AND :until),
bands (place, name, low, high) AS (VALUES (1, 'under 5', -1e9, 5), (2, '5 to under 10', 5, 10),
  (3, '10 to under 15', 10, 15), (4, '15 to under 20', 15, 20), (5, '20 to under 30', 20, 30),
  (6, '30 to under 60', 30, 60), (7, '60 and more', 60, 1e12))
SELECT name, soaks, shortest, longest FROM (
  SELECT b.place, b.name, count(t.origin) AS soaks, round(min(t.minutes), 1) AS shortest,
         round(max(t.minutes), 1) AS longest
  FROM bands b LEFT JOIN timed t ON t.minutes >= b.low AND t.minutes < b.high GROUP BY b.place
  UNION ALL SELECT 8, 'no end recorded', count(*), NULL, NULL FROM timed WHERE minutes IS NULL)
ORDER BY place)",
       .counts = R"(
SELECT count(*), coalesce(sum(s.ended_ms IS NULL), 0)
FROM soaked k JOIN soaks s ON s.origin = k.origin WHERE k.at_ms BETWEEN :from AND :until)"},

      {.id = "short-soaks",
       .columns = {{"set"},
                   {"solution"},
                   {"at", Sort::time},
                   {"minutes", Sort::number},
                   {"limit", Sort::number},
                   {"by"},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT s."set", s.solution, s.at_ms, round((s.ended_ms - s.at_ms) / 60000.0, 2), x.value, k."by", s.seq
FROM soaked k JOIN soaks s ON s.origin = k.origin JOIN limits x ON x.key = 'decontamination.soak_minutes_min'
  AND s.at_ms BETWEEN x.from_ms AND x.until_ms
WHERE k.at_ms BETWEEN :from AND :until AND s.ended_ms - s.at_ms < 60000 * x.value
ORDER BY s.at_ms, s."set")",
       .counts = R"(
SELECT count(*), coalesce(sum(s.ended_ms IS NULL), 0)
FROM soaked k JOIN soaks s ON s.origin = k.origin JOIN limits x ON x.key = 'decontamination.soak_minutes_min'
  AND s.at_ms BETWEEN x.from_ms AND x.until_ms
WHERE k.at_ms BETWEEN :from AND :until)"},

      {.id = "disinfectant-age",
       .columns = {{"load"},
                   {"solution"},
                   {"agent", Sort::word},
                   {"started", Sort::time},
                   {"age_days", Sort::number},
                   {"tested", Sort::time},
                   {"hours_since_test", Sort::number},
                   {"percent", Sort::number},
                   {"strip", Sort::word},
                   {"packs", Sort::number},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT l.load, l.solution, s.agent, l.start_ms, round((l.start_ms - s.prepared_ms) / 86400000.0, 2), t.at_ms,
       round((l.start_ms - t.at_ms) / 3600000.0, 2), t.percent, t.strip, l.packs, l.start_seq
FROM loads l LEFT JOIN solutions s ON s.solution = l.solution
  LEFT JOIN solution_tested t ON t.origin = (SELECT f.origin FROM solution_tested f WHERE f.solution = l.solution
    AND f.at_ms <= l.start_ms ORDER BY f.at_ms DESC, f.seq DESC LIMIT 1)
WHERE l.start_ms BETWEEN :from AND :until AND l.method IN ('chemical-disinfection', 'chemical-sterilization')
ORDER BY 5 DESC, l.start_ms, l.load)",
       .counts = R"(
SELECT count(*), coalesce(sum(s.prepared_ms IS NULL), 0)
FROM loads l LEFT JOIN solutions s ON s.solution = l.solution
WHERE l.start_ms BETWEEN :from AND :until AND l.method IN ('chemical-disinfection', 'chemical-sterilization'))"},

      {.id = "untested-solutions",
       .columns = {{"solution"},
                   {"agent", Sort::word},
                   {"use", Sort::word},
                   {"prepared", Sort::time},
                   {"uses", Sort::number},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT p.solution, p.agent, p.use, p.at_ms,
       (SELECT count(*) FROM soaks s WHERE s.solution = p.solution)
         + (SELECT count(*) FROM loads l WHERE l.solution = p.solution) AS uses, p.seq
FROM solution_prepared p
WHERE p.at_ms BETWEEN :from AND :until
  AND NOT EXISTS (SELECT 1 FROM solution_tested t WHERE t.solution = p.solution)
ORDER BY p.at_ms, p.solution)",
       .counts = R"(
SELECT count(*), 0 FROM solution_prepared WHERE at_ms BETWEEN :from AND :until)"},
  };
}

}  // namespace trayproof::answers
