-- The hand-written query that bench_recall measures itself against: the loads, packs with their standing and procedures of a
-- positive biological, from the same indexed tables. ?1 is the load. One row each, told apart by the first column.
WITH trigger AS MATERIALIZED (
  SELECT load, equipment, method, start_ms FROM loads WHERE load = ?1
), bounds AS MATERIALIZED (
  SELECT equipment,
         coalesce((SELECT b.start_ms FROM biologicals b WHERE b.equipment = t.equipment AND b.method = t.method AND b.start_ms < t.start_ms
                   AND b.counts = 1 AND coalesce(b.hours, b.lot_read_hours) >= b.lot_read_hours ORDER BY b.start_ms DESC LIMIT 1),
                  -9000000000000000) AS after_ms,
         coalesce((SELECT b.start_ms FROM biologicals b WHERE b.equipment = t.equipment AND b.method = t.method AND b.start_ms > t.start_ms
                   AND b.counts = 1 AND coalesce(b.hours, b.lot_read_hours) >= b.lot_read_hours ORDER BY b.start_ms LIMIT 1),
                  9000000000000000) AS before_ms
  FROM trigger t
), affected AS MATERIALIZED (
  SELECT l.load, l.equipment, l.start_ms, l.end_ms, l.decision, l.decision_ms, l.evidence
  FROM bounds b CROSS JOIN loads l ON l.equipment = b.equipment AND l.start_earliest_ms > b.after_ms AND l.start_earliest_ms < b.before_ms
)
SELECT 'load', a.load, a.equipment, a.start_ms, a.end_ms, CASE WHEN a.decision = 'released' THEN a.decision_ms END, a.evidence, NULL, NULL
FROM affected a
UNION ALL
SELECT 'pack', h.pack, h."set", h.load, h.packed_ms,
       CASE WHEN h.standing IN ('used', 'opened', 'withdrawn') THEN h.standing WHEN h.good_later = 1 THEN 'reprocessed' ELSE h.standing END,
       h.place, h.told_apart, h.standing_seq
FROM affected a JOIN load_packs h ON h.load = a.load
UNION ALL
SELECT 'procedure', p.procedure, p.at_ms, p.sort, p.place, p.patient, p.newborns, u.pack, u.load
FROM affected a JOIN uses u ON u.load = a.load JOIN procedure_done p ON p.origin = u.origin
ORDER BY 1, 4, 2;
