// Packs and sets: their story, the shelf, what is missing.
#include "report/answers/question.h"
#include "report/answers/use_by.h"

namespace trayproof::answers {
namespace {

struct Asking {
  std::string query;
  std::string counts;
};

// What lies on the shelf: of its last load, or made elsewhere and in none, or whose load is not recorded.
const Asking& on_the_shelf() {
  static const Asking asking = [] {
    const ShelfLife life{.pack = "x.pack", .load = "x.load", .moment = ":now"};
    const std::string shelf = R"(
WITH lying AS (
  SELECT x.pack, x."set", x.place, x.standing_ms, x.standing_seq, x.load FROM load_packs x
  WHERE x.standing = 'shelf' AND NOT EXISTS (SELECT 1 FROM load_packs y WHERE y.pack = x.pack AND y.end_ms > x.end_ms)
  UNION ALL
  SELECT m.pack, p."set", m.place, m.at_ms, m.seq, NULL FROM pack_moves m JOIN packs p ON p.pack = m.pack
  WHERE (m.kind = 'pack-stored' OR m.kind = 'pack-returned' AND m.state = 'closed') AND m.left_ms IS NULL
    AND m.load IS NULL AND NOT EXISTS (SELECT 1 FROM load_packs y WHERE y.pack = m.pack)),
shelf AS (
  SELECT x.*, )" + use_by_sql(life) +
                              R"( AS use_by_ms,
    )" + keeps_sql(life) + R"( AS keeps
  FROM lying x)
)";
    return Asking{
        .query =
            shelf +
            R"(SELECT pack, "set", place, standing_ms, use_by_ms, CASE WHEN keeps THEN 0 ELSE use_by_ms < :now END, standing_seq
FROM shelf
ORDER BY use_by_ms, pack)",
        .counts = shelf + "SELECT count(*), coalesce(sum(use_by_ms IS NULL AND NOT keeps), 0) FROM shelf"};
  }();
  return asking;
}

}  // namespace

std::vector<Question> pack_questions() {
  return {
      {.id = "pack-history",
       .scope = Scope::whole,
       .parameters = {{"pack"}},
       .columns =
           {{"at", Sort::time}, {"what", Sort::word}, {"with"}, {"found", Sort::word}, {"by"}, {"entry", Sort::entry}},
       .query = R"(
SELECT at_ms, 'packed', "set", wrap, "by", seq FROM packed WHERE pack = :pack
UNION ALL SELECT at_ms, 'received', "from", lot, "by", seq FROM pack_received WHERE pack = :pack
UNION ALL SELECT l.start_ms, 'load started', l.load, l.equipment, l.operator, l.start_seq
  FROM load_packs x JOIN loads l ON l.load = x.load WHERE x.pack = :pack AND l.start_seq IS NOT NULL
UNION ALL SELECT e.at_ms, 'load ended', e.load, CASE e.complete WHEN 1 THEN 'complete' WHEN 0 THEN 'not complete' END,
  e."by", e.seq FROM load_packs x JOIN load_ended e ON e.load = x.load WHERE x.pack = :pack
UNION ALL SELECT r.at_ms, 'load released', r.load, NULL, r."by", r.seq
  FROM load_packs x JOIN load_released r ON r.load = x.load WHERE x.pack = :pack
UNION ALL SELECT r.at_ms, 'load rejected', r.load, NULL, r."by", r.seq
  FROM load_packs x JOIN load_rejected r ON r.load = x.load WHERE x.pack = :pack
UNION ALL SELECT i.at_ms, 'indicator read', coalesce(i.load, i.pack), i.result, r."by", i.seq
  FROM indicators i JOIN indicator_read r ON r.origin = i.origin
  WHERE i.pack = :pack OR (i.pack IS NULL AND i.load IN (SELECT load FROM load_packs WHERE pack = :pack))
UNION ALL SELECT b.at_ms, 'biological read', b.load, b.result, r."by", b.seq
  FROM biologicals b JOIN biological_read r ON r.origin = b.origin
  WHERE b.load IN (SELECT load FROM load_packs WHERE pack = :pack)
UNION ALL SELECT at_ms, 'stored', place, NULL, "by", seq FROM pack_stored WHERE pack = :pack
UNION ALL SELECT at_ms, 'issued', place, NULL, "by", seq FROM pack_issued WHERE pack = :pack
UNION ALL SELECT at_ms, 'opened', place, NULL, "by", seq FROM pack_opened WHERE pack = :pack
UNION ALL SELECT at_ms, 'returned', NULL, state, "by", seq FROM pack_returned WHERE pack = :pack
UNION ALL SELECT at_ms, 'withdrawn', NULL, why_withdrawn, "by", seq FROM pack_withdrawn WHERE pack = :pack
UNION ALL SELECT DISTINCT u.use_ms, 'used', u.procedure, d.sort, d."by", u.seq
  FROM uses u JOIN procedure_done d ON d.origin = u.origin WHERE u.pack = :pack
ORDER BY 1, 6, 2)",
       .counts = R"(
SELECT count(*), coalesce(sum(packed_seq IS NULL), 0) FROM packs WHERE pack = :pack)"},

      {.id = "opened-without-use",
       .columns = {{"pack"},
                   {"set"},
                   {"opened", Sort::time},
                   {"place"},
                   {"by"},
                   {"after", Sort::word},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT o.pack, p."set", o.at_ms, o.place, o."by",
       CASE WHEN EXISTS (SELECT 1 FROM pack_withdrawn w WHERE w.pack = o.pack AND w.at_ms >= o.at_ms) THEN 'withdrawn'
            WHEN EXISTS (SELECT 1 FROM load_packs x JOIN loads l ON l.load = x.load
                         WHERE x.pack = o.pack AND l.start_ms >= o.at_ms) THEN 'in a load again' END, o.seq
FROM pack_opened o LEFT JOIN packs p ON p.pack = o.pack
WHERE o.at_ms BETWEEN :from AND :until AND NOT EXISTS (SELECT 1 FROM uses u WHERE u.pack = o.pack)
ORDER BY o.at_ms, o.pack, o.seq)",
       .counts = R"(
SELECT count(*), 0 FROM pack_opened WHERE at_ms BETWEEN :from AND :until)"},

      {.id = "exposed-by-load",
       .scope = Scope::whole,
       .parameters = {{"load"}},
       .columns = {{"pack"},
                   {"set"},
                   {"standing", Sort::word},
                   {"place"},
                   {"procedure"},
                   {"used", Sort::time},
                   {"patient"},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT x.pack, x."set",
       CASE WHEN x.good_later = 1 AND x.standing IN ('issued', 'shelf', 'held') THEN 'reprocessed' ELSE x.standing END,
       x.place, u.procedure, u.use_ms, d.patient, coalesce(u.seq, x.standing_seq, x.seq)
FROM load_packs x LEFT JOIN uses u ON u.load = x.load AND u.pack = x.pack
  LEFT JOIN procedure_done d ON d.origin = u.origin
WHERE x.load = :load
ORDER BY x.pack, u.use_ms, u.procedure)",
       .counts = R"(
SELECT packs, packs_unknown FROM loads WHERE load = :load)"},

      {.id = "on-the-shelf",
       .scope = Scope::whole,
       .columns = {{"pack"},
                   {"set"},
                   {"place"},
                   {"stored", Sort::time},
                   {"use_by", Sort::time},
                   {"past", Sort::yes_no},
                   {"entry", Sort::entry}},
       .query = on_the_shelf().query,
       .counts = on_the_shelf().counts},

      {.id = "missing-instruments",
       .columns = {{"set"},
                   {"returned", Sort::time},
                   {"procedure"},
                   {"item"},
                   {"count", Sort::number},
                   {"by"},
                   {"remark", Sort::written},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT r."set", r.at_ms, r.procedure, json_extract(j.value, '$.item'), json_extract(j.value, '$.count'), r."by",
       (SELECT k.text FROM remarked k WHERE json_extract(k.subject, '$.id') = r."set"
          AND json_extract(k.subject, '$.kind') = 'set' AND k.at_ms >= r.at_ms ORDER BY k.at_ms LIMIT 1), r.seq
FROM set_returned r, json_each(r.missing) j
WHERE r.at_ms BETWEEN :from AND :until
ORDER BY r.at_ms, r."set", 4)",
       .counts = R"(
SELECT count(*), coalesce(sum(missing IS NULL), 0) FROM set_returned WHERE at_ms BETWEEN :from AND :until)"},

      {.id = "set-life",
       .scope = Scope::whole,
       .parameters = {{"set"}},
       .columns = {{"pack"},
                   {"packed", Sort::time},
                   {"wrap", Sort::word},
                   {"loads"},
                   {"uses", Sort::number},
                   {"soaked", Sort::number},
                   {"cleaned", Sort::number},
                   {"inspected", Sort::number},
                   {"found", Sort::word},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT p.pack, p.packed_ms, p.wrap,
       (SELECT group_concat(load, ', ') FROM (SELECT x.load FROM load_packs x WHERE x.pack = p.pack ORDER BY x.end_ms)),
       (SELECT count(DISTINCT u.procedure) FROM uses u WHERE u.pack = p.pack),
       (SELECT count(*) FROM turns t WHERE t.pack = p.pack AND t.kind = 'soaked'),
       (SELECT count(*) FROM turns t WHERE t.pack = p.pack AND t.kind = 'cleaned'),
       (SELECT count(*) FROM turns t WHERE t.pack = p.pack AND t.kind = 'inspected'),
       (SELECT group_concat(j.value, ', ') FROM turns t JOIN inspected i ON i.origin = t.origin, json_each(i.found) j
          WHERE t.pack = p.pack AND t.kind = 'inspected'), p.packed_seq
FROM packs p WHERE p."set" = :set
ORDER BY p.packed_ms, p.pack)",
       .counts = R"(
SELECT count(*), coalesce(sum(NOT EXISTS (SELECT 1 FROM turns t WHERE t.pack = packs.pack)), 0)
FROM packs WHERE "set" = :set)"},

      {.id = "made-elsewhere",
       .columns = {{"pack"},
                   {"received", Sort::time},
                   {"from"},
                   {"contents"},
                   {"lot"},
                   {"use_by", Sort::time},
                   {"loads_here", Sort::number},
                   {"uses", Sort::number},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT r.pack, r.at_ms, r."from", r.contents, r.lot, r.use_by_ms,
       (SELECT count(*) FROM load_packs x WHERE x.pack = r.pack),
       (SELECT count(DISTINCT u.procedure) FROM uses u WHERE u.pack = r.pack), r.seq
FROM pack_received r
WHERE r.at_ms BETWEEN :from AND :until
ORDER BY r.at_ms, r.pack)",
       .counts = R"(
SELECT count(*), coalesce(sum(lot IS NULL OR use_by IS NULL), 0) FROM pack_received
WHERE at_ms BETWEEN :from AND :until)"},

      {.id = "random-packs",
       .parameters = {{"sample", "10"}, {"seed"}},
       .columns = {{"pack"},
                   {"set"},
                   {"packed", Sort::time},
                   {"by"},
                   {"indicator_lot"},
                   {"load"},
                   {"equipment"},
                   {"ended", Sort::time},
                   {"decision", Sort::word},
                   {"decided_by"},
                   {"standing", Sort::word},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT p.pack, p."set", p.packed_ms, p.packed_by, p.indicator_lot, x.load, l.equipment, l.end_ms, l.decision,
       l.decision_by,
       CASE WHEN x.good_later = 1 AND x.standing IN ('issued', 'shelf', 'held') THEN 'reprocessed' ELSE x.standing END,
       p.packed_seq
FROM drawn d CROSS JOIN packs p ON p.pack = d.id LEFT JOIN load_packs x ON x.pack = p.pack LEFT JOIN loads l ON l.load = x.load
ORDER BY p.packed_ms, p.pack, l.end_ms)",
       .counts = R"(
SELECT (SELECT count(*) FROM drawn), (SELECT count(*) FROM drawn d
  WHERE NOT EXISTS (SELECT 1 FROM load_packs x WHERE x.pack = d.id)))",
       .draw_from = R"(
SELECT pack FROM packed WHERE at_ms BETWEEN :from AND :until)"},

      {.id = "random-procedures",
       .parameters = {{"sample", "10"}, {"seed"}},
       .columns = {{"procedure"},
                   {"at", Sort::time},
                   {"sort", Sort::word},
                   {"place"},
                   {"patient_recorded", Sort::yes_no},
                   {"packs", Sort::number},
                   {"without_load", Sort::number},
                   {"not_released", Sort::number},
                   {"strips_failed", Sort::number},
                   {"entry", Sort::entry}},
       .query = R"(
SELECT p.procedure, p.at_ms, p.sort, p.place, p.patient IS NOT NULL, count(DISTINCT u.pack),
       count(DISTINCT CASE WHEN u.pack IS NOT NULL AND u.load IS NULL THEN u.pack END),
       count(DISTINCT CASE WHEN coalesce(l.decision, '') <> 'released' AND (l.decision = 'rejected'
         OR EXISTS (SELECT 1 FROM release_wanted w WHERE w.load = l.load)) THEN u.pack END),
       coalesce(sum(l.indicators_failed > 0), 0), p.seq
FROM drawn d CROSS JOIN procedure_done p ON p.procedure = d.id LEFT JOIN uses u ON u.procedure = p.procedure AND u.origin = p.origin
  LEFT JOIN loads l ON l.load = u.load
GROUP BY p.procedure
ORDER BY p.at_ms, p.procedure)",
       .counts = R"(
SELECT (SELECT count(*) FROM drawn), (SELECT count(*) FROM drawn d
  WHERE NOT EXISTS (SELECT 1 FROM uses u WHERE u.procedure = d.id)))",
       .draw_from = R"(
SELECT procedure FROM procedure_done WHERE at_ms BETWEEN :from AND :until)"},
  };
}

}  // namespace trayproof::answers
