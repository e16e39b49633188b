// People: who was competent, who was there.
#include "report/answers/question.h"

namespace trayproof::answers {

std::vector<Question> people_questions() {
  return {
      {.id = "competence-on-the-day",
       .columns = {{"person"},
                   {"method", Sort::word},
                   {"loads", Sort::number},
                   {"in_date", Sort::number},
                   {"without", Sort::number},
                   {"last_until", Sort::day}},
       .query = R"(
WITH ran AS (
  SELECT l.operator, l.method, d.name AS day, (SELECT max(c.until) FROM competence_recorded c
    WHERE c.person = l.operator AND c.skill = l.method AND c.at_ms <= l.start_ms) AS until
  FROM days d JOIN loads l ON l.start_ms BETWEEN d.from_ms AND d.until_ms
  WHERE l.operator IS NOT NULL AND l.method IS NOT NULL)
SELECT operator, method, count(*), sum(coalesce(until >= day, 0)), sum(coalesce(until < day, 1)),
       (SELECT max(c.until) FROM competence_recorded c WHERE c.person = ran.operator AND c.skill = ran.method)
FROM ran
GROUP BY operator, method
ORDER BY operator, method)",
       .counts = R"(
SELECT count(*), coalesce(sum(operator IS NULL OR method IS NULL), 0)
FROM loads WHERE start_ms BETWEEN :from AND :until)"},

      {.id = "competences",
       .scope = Scope::whole,
       .parameters = {{"on", "now"}},
       .columns = {{"person"},
                   {"roles", Sort::word},
                   {"skill", Sort::word},
                   {"recorded", Sort::time},
                   {"until", Sort::day},
                   {"in_date", Sort::yes_no},
                   {"entry", Sort::entry}},
       .query = R"(
WITH people AS (
  SELECT person, roles, row_number() OVER (PARTITION BY person ORDER BY at_ms DESC, seq DESC) AS place
  FROM person_enrolled WHERE at_ms <= :on),
skills AS (
  SELECT *, row_number() OVER (PARTITION BY person, skill ORDER BY at_ms DESC, seq DESC) AS place
  FROM competence_recorded WHERE at_ms <= :on)
SELECT p.person, (SELECT group_concat(value, ', ') FROM json_each(p.roles)), s.skill, s.at_ms, s.until,
       s.until >= :on_day, s.seq
FROM people p LEFT JOIN skills s ON s.person = p.person AND s.place = 1
WHERE p.place = 1 AND NOT EXISTS (SELECT 1 FROM person_left g WHERE g.person = p.person AND g.at_ms <= :on)
ORDER BY p.person, s.skill)",
       .counts = R"(
SELECT count(DISTINCT person), count(DISTINCT CASE WHEN NOT EXISTS (SELECT 1 FROM competence_recorded c
  WHERE c.person = e.person AND c.at_ms <= :on) THEN person END)
FROM person_enrolled e WHERE at_ms <= :on
  AND NOT EXISTS (SELECT 1 FROM person_left g WHERE g.person = e.person AND g.at_ms <= :on))"},

      {.id = "who-did-what",
       .columns = {{"person"},
                   {"kind", Sort::word},
                   {"events", Sort::number},
                   {"first", Sort::time},
                   {"last", Sort::time},
                   {"off_roster", Sort::number}},
       .query = R"(
SELECT e."by", e.kind, count(*), min(e.at_ms), max(e.at_ms),
       CASE WHEN EXISTS (SELECT 1 FROM rostered r WHERE r.person = e."by") THEN
         sum(NOT EXISTS (SELECT 1 FROM rostered r WHERE r.person = e."by"
                         AND e.at_ms BETWEEN r.from_ms AND r.until_ms)) END
FROM every_event e
WHERE e.at_ms BETWEEN :from AND :until AND e."by" IS NOT NULL
GROUP BY e."by", e.kind
ORDER BY e."by", e.kind)",
       .counts = R"(
SELECT count(*), coalesce(sum(NOT EXISTS (SELECT 1 FROM rostered r WHERE r.person = e."by")), 0)
FROM every_event e WHERE e.at_ms BETWEEN :from AND :until AND e."by" IS NOT NULL)"},
  };
}

}  // namespace trayproof::answers
