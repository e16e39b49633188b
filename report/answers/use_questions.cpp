// What was used on whom, and what was not.
#include "report/answers/question.h"
#include "report/answers/use_by.h"

namespace trayproof::answers {
namespace {

// A use later than the use-by of its pack.
const std::string& used_late() {
  static const std::string query = R"(
WITH used AS (
  SELECT u.pack, p."set", p.wrap, u.procedure, u.use_ms, u.seq,
    )" + use_by_sql({.pack = "u.pack", .load = "u.load", .moment = "u.use_ms"}) +
                                   R"( AS use_by_ms
  FROM procedure_done d JOIN uses u ON u.procedure = d.procedure AND u.origin = d.origin JOIN packs p ON p.pack = u.pack
  WHERE d.at_ms BETWEEN :from AND :until)
SELECT pack, "set", wrap, procedure, use_ms, use_by_ms, round((use_ms - use_by_ms) / 86400000.0, 2), seq
FROM used WHERE use_ms > use_by_ms
ORDER BY use_ms, pack)";
  return query;
}

}  // namespace

std::vector<Question> use_questions() {
  return {
      {.id = "procedures-without-set",
       .columns = {{"procedure"}, {"at", Sort::time}, {"sort", Sort::word}, {"place"}, {"by"}, {"entry", Sort::entry}},
       .query = R"(
SELECT procedure, at_ms, sort, place, "by", seq
FROM procedure_done
WHERE at_ms BETWEEN :from AND :until AND coalesce(disposable, 0) = 0
  AND json_array_length(coalesce(packs, '[]')) = 0
  AND coalesce(json_extract("unknown", '$.packs'), 'not-done') = 'not-done'
ORDER BY at_ms, procedure)",
       .counts = R"(
SELECT count(*), coalesce(sum(coalesce(disposable, 0) = 0 AND json_array_length(coalesce(packs, '[]')) = 0
                              AND coalesce(json_extract("unknown", '$.packs'), 'not-done') <> 'not-done'), 0)
FROM procedure_done
WHERE at_ms BETWEEN :from AND :until)"},

      {.id = "without-set-by-week",
       .columns = {{"week", Sort::day}, {"without", Sort::number}, {"of", Sort::number}, {"share", Sort::share}},
       .query = R"(
SELECT w.name, coalesce(sum(coalesce(p.disposable, 0) = 0 AND json_array_length(coalesce(p.packs, '[]')) = 0), 0),
       count(p.origin)
FROM weeks w LEFT JOIN procedure_done p ON p.at_ms BETWEEN w.from_ms AND w.until_ms
  AND coalesce(json_extract(p."unknown", '$.packs'), 'not-done') = 'not-done'
GROUP BY w.from_ms
ORDER BY w.from_ms)",
       .counts = R"(
SELECT count(*), coalesce(sum(coalesce(json_extract("unknown", '$.packs'), 'not-done') <> 'not-done'), 0)
FROM procedure_done
WHERE at_ms BETWEEN :from AND :until)",
       .chart = Chart::run},

      {.id = "patients-not-recorded",
       .columns = {{"procedure"},
                   {"at", Sort::time},
                   {"sort", Sort::word},
                   {"place"},
                   {"packs", Sort::number},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT procedure, at_ms, sort, place, json_array_length(coalesce(packs, '[]')), seq
FROM procedure_done
WHERE at_ms BETWEEN :from AND :until AND patient IS NULL
ORDER BY at_ms, procedure)",
       .counts = R"(
SELECT count(*), 0 FROM procedure_done WHERE at_ms BETWEEN :from AND :until)"},

      {.id = "case-trail",
       .scope = Scope::whole,
       .parameters = {{"procedure"}},
       .columns = {{"pack"},
                   {"set"},
                   {"wrap", Sort::word},
                   {"packed", Sort::time},
                   {"packed_by"},
                   {"load"},
                   {"method", Sort::word},
                   {"equipment"},
                   {"ended", Sort::time},
                   {"complete", Sort::yes_no},
                   {"curve", Sort::word},
                   {"strips_passed", Sort::number},
                   {"strips_failed", Sort::number},
                   {"biological"},
                   {"decision", Sort::word},
                   {"decided", Sort::time},
                   {"decided_by"},
                   {"used", Sort::time},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT u.pack, p."set", p.wrap, p.packed_ms, p.packed_by, u.load, l.method, l.equipment,
       CASE WHEN l.end_seq IS NOT NULL THEN l.end_ms END, l.complete, l.curve_verdict, l.indicators_passed,
       l.indicators_failed,
       (SELECT group_concat(b.result, ', ') FROM biologicals b WHERE b.load = u.load), l.decision, l.decision_ms,
       l.decision_by, u.use_ms, u.seq
FROM uses u JOIN packs p ON p.pack = u.pack LEFT JOIN loads l ON l.load = u.load
WHERE u.procedure = :procedure
ORDER BY u.pack, u.load)",
       .counts = R"(
SELECT count(DISTINCT pack), coalesce(sum(load IS NULL), 0) FROM uses WHERE procedure = :procedure)"},

      {.id = "used-late",
       .columns = {{"pack"},
                   {"set"},
                   {"wrap", Sort::word},
                   {"procedure"},
                   {"used", Sort::time},
                   {"use_by", Sort::time},
                   {"days_late", Sort::number},
                   {"entry", Sort::entry}},
       .query = used_late(),
       .counts = R"(
SELECT count(*), coalesce(sum(u.load IS NULL AND (p.outside = 0 OR p.use_by_ms IS NULL)), 0)
FROM procedure_done d JOIN uses u ON u.procedure = d.procedure AND u.origin = d.origin JOIN packs p ON p.pack = u.pack
WHERE d.at_ms BETWEEN :from AND :until)"},

      {.id = "drums-open-too-long",
       .columns = {{"pack"},
                   {"procedure"},
                   {"opened", Sort::time},
                   {"used", Sort::time},
                   {"hours", Sort::number},
                   {"limit", Sort::number},
                   {"entry", Sort::entry}},
       .query = R"(
WITH used AS (
  SELECT u.pack, u.procedure, u.use_ms, u.seq,
    (SELECT min(m.at_ms) FROM pack_moves m WHERE m.pack = u.pack AND m.kind = 'pack-opened' AND m.at_ms <= u.use_ms)
      AS opened_ms,
    (SELECT x.value FROM limits x WHERE x.key = 'shelf.drum_open_hours'
       AND u.use_ms BETWEEN x.from_ms AND x.until_ms) AS hours_max
  FROM procedure_done d JOIN uses u ON u.procedure = d.procedure AND u.origin = d.origin JOIN packs p ON p.pack = u.pack
  WHERE d.at_ms BETWEEN :from AND :until AND p.wrap = 'drum')
SELECT pack, procedure, opened_ms, use_ms, round((use_ms - opened_ms) / 3600000.0, 2), hours_max, seq
FROM used WHERE use_ms - opened_ms > 3600000 * hours_max
ORDER BY use_ms, pack, procedure)",
       .counts = R"(
SELECT count(*), coalesce(sum(NOT EXISTS (SELECT 1 FROM pack_moves m WHERE m.pack = u.pack
                                          AND m.kind = 'pack-opened' AND m.at_ms <= u.use_ms)), 0)
FROM procedure_done d JOIN uses u ON u.procedure = d.procedure AND u.origin = d.origin JOIN packs p ON p.pack = u.pack
WHERE d.at_ms BETWEEN :from AND :until AND p.wrap = 'drum')"},

      {.id = "implants",
       .columns = {{"procedure"},
                   {"at", Sort::time},
                   {"pack"},
                   {"load"},
                   {"result", Sort::word},
                   {"read", Sort::time},
                   {"before_use", Sort::yes_no},
                   {"early", Sort::written},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT d.procedure, d.at_ms, u.pack, u.load,
       (SELECT b.result FROM biologicals b WHERE b.load = u.load ORDER BY b.at_ms LIMIT 1),
       (SELECT min(b.at_ms) FROM biologicals b WHERE b.load = u.load),
       coalesce((SELECT min(b.at_ms) FROM biologicals b WHERE b.load = u.load AND b.counts = 1) <= u.use_ms, 0),
       (SELECT r.early FROM load_released r WHERE r.load = u.load ORDER BY r.at_ms DESC, r.seq DESC LIMIT 1), u.seq
FROM procedure_done d JOIN uses u ON u.procedure = d.procedure AND u.origin = d.origin JOIN packs p ON p.pack = u.pack
WHERE d.at_ms BETWEEN :from AND :until AND (d.implant = 1 OR p.implant = 1)
ORDER BY d.at_ms, d.procedure, u.pack, u.load)",
       .counts = R"(
SELECT count(*), coalesce(sum(u.load IS NULL), 0)
FROM procedure_done d JOIN uses u ON u.procedure = d.procedure AND u.origin = d.origin JOIN packs p ON p.pack = u.pack
WHERE d.at_ms BETWEEN :from AND :until AND (d.implant = 1 OR p.implant = 1))"},

      {.id = "disinfected-only",
       .columns = {{"pack"},
                   {"set"},
                   {"contact", Sort::word},
                   {"load"},
                   {"method", Sort::word},
                   {"solution"},
                   {"procedure"},
                   {"used", Sort::time},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT u.pack, p."set", p.contact, u.load, l.method, l.solution, u.procedure, u.use_ms, u.seq
FROM procedure_done d JOIN uses u ON u.procedure = d.procedure AND u.origin = d.origin JOIN packs p ON p.pack = u.pack
  JOIN loads l ON l.load = u.load
WHERE d.at_ms BETWEEN :from AND :until
  AND l.method IN ('boiling', 'steaming', 'thermal-disinfection', 'chemical-disinfection')
ORDER BY u.use_ms, u.pack, u.procedure)",
       .counts = R"(
SELECT count(*), coalesce(sum(l.method IS NULL), 0)
FROM procedure_done d JOIN uses u ON u.procedure = d.procedure AND u.origin = d.origin LEFT JOIN loads l ON l.load = u.load
WHERE d.at_ms BETWEEN :from AND :until)"},

      {.id = "forward-from",
       .scope = Scope::whole,
       .parameters = {{"procedure"}},
       .columns = {{"set"},
                   {"told_apart", Sort::yes_no},
                   {"pack"},
                   {"packed", Sort::time},
                   {"load"},
                   {"procedure"},
                   {"used", Sort::time},
                   {"patient"},
                   {"entry", Sort::entry}},
       .query = R"(
WITH begun AS (
  SELECT p."set" AS s, min(u.use_ms) AS ms, max(p.packed_ms) AS packed_ms
  FROM uses u JOIN packs p ON p.pack = u.pack
  WHERE u.procedure = :procedure AND p."set" IS NOT NULL GROUP BY p."set")
SELECT b.s, p.told_apart, p.pack, p.packed_ms,
       CASE WHEN u.pack IS NOT NULL THEN u.load
         ELSE (SELECT h.load FROM load_packs h WHERE h.pack = p.pack ORDER BY h.end_ms DESC, h.load LIMIT 1) END,
       u.procedure, u.use_ms, d.patient,
       coalesce(u.seq, p.packed_seq)
FROM begun b JOIN packs p ON p."set" = b.s AND p.packed_ms > b.packed_ms
  LEFT JOIN uses u ON u.pack = p.pack LEFT JOIN procedure_done d ON d.origin = u.origin
ORDER BY b.s, p.packed_ms, p.pack, u.use_ms, u.procedure, u.load)",
       .counts = R"(
SELECT count(DISTINCT p."set"), count(DISTINCT CASE WHEN p.told_apart = 0 OR p."set" IS NULL THEN u.pack END)
FROM uses u JOIN packs p ON p.pack = u.pack WHERE u.procedure = :procedure)"},

      {.id = "common-to-cases",
       .parameters = {{"procedures"}},
       .columns = {{"kind", Sort::word},
                   {"id"},
                   {"cases_with", Sort::number},
                   {"cases", Sort::number},
                   {"others_with", Sort::number},
                   {"others", Sort::number},
                   {"p", Sort::fisher}},
       .query = R"(
WITH cases AS (SELECT value AS procedure FROM json_each(:procedures)),
pool AS (
  SELECT d.procedure, d.origin, d.place, EXISTS (SELECT 1 FROM cases c WHERE c.procedure = d.procedure) AS is_case
  FROM procedure_done d WHERE d.at_ms BETWEEN :from AND :until
  UNION SELECT d.procedure, d.origin, d.place, 1 FROM cases c JOIN procedure_done d ON d.procedure = c.procedure),
used AS (
  SELECT f.procedure, f.is_case, u.pack, u.load, p."set", p.packed_by, p.wrap_lot, p.indicator_lot
  FROM pool f JOIN uses u ON u.procedure = f.procedure AND u.origin = f.origin JOIN packs p ON p.pack = u.pack),
things AS (
  SELECT procedure, is_case, 'place' AS kind, place AS id FROM pool
  UNION SELECT procedure, is_case, 'set', "set" FROM used
  UNION SELECT procedure, is_case, 'pack', pack FROM used
  UNION SELECT procedure, is_case, 'load', load FROM used
  UNION SELECT procedure, is_case, 'packed by', packed_by FROM used
  UNION SELECT procedure, is_case, 'wrap lot', wrap_lot FROM used
  UNION SELECT procedure, is_case, 'indicator lot', indicator_lot FROM used
  UNION SELECT procedure, is_case, 'sterilizer', l.equipment FROM used JOIN loads l ON l.load = used.load
  UNION SELECT procedure, is_case, 'operator', l.operator FROM used JOIN loads l ON l.load = used.load
  UNION SELECT procedure, is_case, 'solution', t.solution FROM used JOIN turns t ON t.pack = used.pack)
SELECT kind, id, sum(is_case), (SELECT count(DISTINCT procedure) FROM pool WHERE is_case), sum(1 - is_case),
       (SELECT count(DISTINCT procedure) FROM pool WHERE NOT is_case)
FROM things WHERE id IS NOT NULL
GROUP BY kind, id HAVING sum(is_case) > 0
ORDER BY kind, id)",
       .counts = R"(
SELECT (SELECT count(*) FROM procedure_done d WHERE d.at_ms BETWEEN :from AND :until)
         + (SELECT count(*) FROM json_each(:procedures) j JOIN procedure_done d ON d.procedure = j.value
            WHERE d.at_ms NOT BETWEEN :from AND :until),
       (SELECT count(*) FROM procedure_done d WHERE d.at_ms BETWEEN :from AND :until
          AND NOT EXISTS (SELECT 1 FROM uses u WHERE u.procedure = d.procedure AND u.origin = d.origin)))"},
  };
}

}  // namespace trayproof::answers
