// Sterilizers, loggers and gauges: fit on the day, out of use, tested after repair.
//
// What is worked out of each check or stop is MATERIALIZED: SQLite would else work it out again for every load that it
// is compared with.
#include "report/answers/question.h"

namespace trayproof::answers {

std::vector<Question> equipment_questions() {
  return {
      {.id = "equipment-on-date",
       .scope = Scope::whole,
       .parameters = {{"on", "now"}},
       .columns = {{"equipment"},
                   {"sort", Sort::word},
                   {"check", Sort::word},
                   {"result", Sort::word},
                   {"done", Sort::time},
                   {"until", Sort::time},
                   {"in_date", Sort::yes_no},
                   {"certificate"},
                   {"stopped", Sort::yes_no},
                   {"entry", Sort::entry}},
       .query = R"(
WITH known AS (
  SELECT equipment, sort, row_number() OVER (PARTITION BY equipment ORDER BY at_ms DESC, seq DESC) AS place
  FROM equipment_registered WHERE at_ms <= :on),
checks AS (
  SELECT *, row_number() OVER (PARTITION BY equipment, "check" ORDER BY at_ms DESC, seq DESC) AS place
  FROM equipment_checked WHERE at_ms <= :on)
SELECT k.equipment, k.sort, c."check", c.result, c.at_ms, c.until_ms,
       CASE WHEN c.result = 'pass' AND c.until_ms IS NOT NULL THEN c.until_ms >= :on
            WHEN c.result = 'fail' THEN 0 END, c.certificate,
       coalesce((SELECT max(at_ms) FROM equipment_stopped s WHERE s.equipment = k.equipment AND s.at_ms <= :on)
         > coalesce((SELECT max(at_ms) FROM equipment_resumed r WHERE r.equipment = k.equipment AND r.at_ms <= :on), 0),
         0), c.seq
FROM known k LEFT JOIN checks c ON c.equipment = k.equipment AND c.place = 1
WHERE k.place = 1
ORDER BY k.equipment, c."check")",
       .counts = R"(
SELECT count(DISTINCT equipment), count(DISTINCT CASE WHEN NOT EXISTS (SELECT 1 FROM equipment_checked c
  WHERE c.equipment = equipment_registered.equipment AND c."check" = 'calibration' AND c.at_ms <= :on)
  THEN equipment END)
FROM equipment_registered WHERE at_ms <= :on)"},

      {.id = "as-found-errors",
       .scope = Scope::whole,
       .columns = {{"equipment"},
                   {"at", Sort::time},
                   {"check", Sort::word},
                   {"result", Sort::word},
                   {"as_found_k", Sort::number},
                   {"as_found_kpa", Sort::number},
                   {"accuracy_k", Sort::number},
                   {"certificate"},
                   {"before", Sort::time},
                   {"loads_since", Sort::number},
                   {"judged_again", Sort::number},
                   {"entry", Sort::entry}},
       .query = R"(
WITH checks AS MATERIALIZED (
  SELECT *, (SELECT max(b.at_ms) FROM equipment_checked b WHERE b.equipment = c.equipment AND b."check" = c."check"
               AND b.result = 'pass' AND b.at_ms < c.at_ms) AS before_ms
  FROM equipment_checked c WHERE c."check" = 'calibration'),
again AS MATERIALIZED (
  SELECT v.logger, max(j.recorded_ms) AS last_ms FROM curve_judged j CROSS JOIN curves v ON v.curve = j.curve
  WHERE j.error_k IS NOT NULL GROUP BY v.curve)
SELECT equipment, at_ms, "check", result, as_found_k, as_found_kpa, accuracy_k, certificate, before_ms,
       (SELECT count(*) FROM loads l WHERE l.equipment = checks.equipment
          AND l.start_ms BETWEEN coalesce(checks.before_ms, -9e15) AND checks.at_ms)
       + (SELECT count(DISTINCT v.load) FROM curves v WHERE v.logger = checks.equipment
          AND v.from_ms BETWEEN coalesce(checks.before_ms, -9e15) AND checks.at_ms),
       (SELECT count(*) FROM again WHERE again.logger = checks.equipment AND again.last_ms >= checks.at_ms), seq
FROM checks
ORDER BY at_ms, equipment)",
       .counts = R"(
SELECT count(*), coalesce(sum(as_found_k IS NULL AND as_found_kpa IS NULL), 0)
FROM equipment_checked WHERE "check" = 'calibration')"},

      {.id = "downtime",
       .columns = {{"equipment"},
                   {"stopped", Sort::time},
                   {"why", Sort::written},
                   {"resumed", Sort::time},
                   {"hours", Sort::number},
                   {"loads_meanwhile", Sort::number},
                   {"valid_tests_after", Sort::number},
                   {"air_removal_after", Sort::number},
                   {"entry", Sort::entry}},
       .query = R"(
WITH spans AS MATERIALIZED (
  SELECT s.*, (SELECT min(r.at_ms) FROM equipment_resumed r WHERE r.equipment = s.equipment AND r.at_ms >= s.at_ms)
    AS resumed_ms FROM equipment_stopped s WHERE s.at_ms BETWEEN :from AND :until)
SELECT equipment, at_ms, why, resumed_ms, round((coalesce(resumed_ms, :now) - at_ms) / 3600000.0, 2),
       (SELECT count(*) FROM loads l WHERE l.equipment = spans.equipment
          AND l.start_ms >= spans.at_ms AND l.start_ms < coalesce(spans.resumed_ms, :now)),
       (SELECT count(*) FROM biologicals b WHERE b.equipment = spans.equipment AND b.counts = 1
          AND b.start_ms >= spans.at_ms),
       (SELECT count(*) FROM equipment_checked c WHERE c.equipment = spans.equipment AND c."check" = 'air-removal'
          AND c.result = 'pass' AND c.at_ms >= spans.at_ms), seq
FROM spans
ORDER BY at_ms, equipment)",
       .counts = R"(
SELECT (SELECT count(DISTINCT equipment) FROM equipment_registered WHERE at_ms <= :until), 0)"},

      {.id = "failed-checks",
       .columns = {{"equipment"},
                   {"at", Sort::time},
                   {"check", Sort::word},
                   {"by"},
                   {"next_pass", Sort::time},
                   {"loads_between", Sort::number},
                   {"entry", Sort::entry}},
       .query = R"(
WITH failed AS MATERIALIZED (
  SELECT c.*, (SELECT min(p.at_ms) FROM equipment_checked p WHERE p.equipment = c.equipment AND p."check" = c."check"
    AND p.result = 'pass' AND p.at_ms > c.at_ms) AS pass_ms
  FROM equipment_checked c WHERE c.at_ms BETWEEN :from AND :until AND c.result = 'fail')
SELECT equipment, at_ms, "check", "by", pass_ms,
       (SELECT count(*) FROM loads l WHERE l.equipment = failed.equipment AND l.start_ms > failed.at_ms
          AND l.start_ms < coalesce(failed.pass_ms, :now)), seq
FROM failed
ORDER BY at_ms, equipment)",
       .counts = R"(
SELECT count(*), coalesce(sum(result IS NULL), 0) FROM equipment_checked WHERE at_ms BETWEEN :from AND :until)"},
  };
}

}  // namespace trayproof::answers
