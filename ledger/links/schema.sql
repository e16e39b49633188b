-- Tables derived from the events, kept in a file of their own beside the ledger (`<ledger>.links`). The file may be
-- deleted at any time: it is worked out again from the ledger and comes back equal. Nothing here is evidence; each row
-- names the seq of the entry that is. docs/tables.md explains the tables and shows queries; recall.md has the terms.
--
-- Layer 1 is not in this file: one table for each kind of event, made from the vocabulary (load-started is load_started),
-- one row for each event that stands after corrections:
--   origin (seq of the event as first recorded), seq (entry that holds now: the event or its latest correction),
--   at, at_ms, earliest_ms, latest_ms, precision, by, entered, entered_ms, recorded, recorded_ms, station, key, paper,
--   unknown, as_read, files, note (the last four as JSON), and every field of the kind under its own name. Lists and
--   objects are JSON, yes/no is 1/0, a date-time has <name>_ms, <name>_earliest_ms and <name>_latest_ms beside it.
--
-- Layer 2, below, ties them together. In both layers
--   *_ms           counts milliseconds since 1970-01-01T00:00:00Z,
--   *_earliest_ms  and *_latest_ms are the first and last millisecond that a time can mean by its precision; of times
--                  known to the second both are equal to *_ms,
--   *_seq          is the seq of the entry to cite, NULL where nothing is recorded.

-- What these tables were derived from. One row.
CREATE TABLE watermark (
  one        INTEGER PRIMARY KEY CHECK (one = 1),
  ledger     TEXT NOT NULL,     -- id of the ledger
  seq        INTEGER NOT NULL,  -- last entry taken in
  hash       BLOB NOT NULL,     -- of that entry
  version    TEXT NOT NULL,     -- of the derivation: another one derives everything again
  zone       TEXT NOT NULL,     -- the facility's zone, for dates
  last_at_ms INTEGER NOT NULL   -- no event stands with a later `at`
) STRICT;

-- Every load that any event names.
CREATE TABLE loads (
  load              TEXT PRIMARY KEY,
  method            TEXT,      -- NULL, like everything of its start, when no load-started is recorded
  equipment         TEXT,
  solution          TEXT,
  cycle             INTEGER,   -- the machine's own counter
  temperature_c     REAL,      -- the programme, as given at the start
  hold_min          REAL,
  operator          TEXT,      -- who started it
  packs             INTEGER NOT NULL,  -- how many packs it holds
  packs_unknown     INTEGER NOT NULL,  -- 1: its packs were marked unknown
  start_seq         INTEGER,
  start_at          TEXT,
  start_ms          INTEGER,
  start_earliest_ms INTEGER,
  start_latest_ms   INTEGER,
  end_seq           INTEGER,   -- NULL: no end recorded; then end_at is NULL too, and end_ms counts from the start
  end_at            TEXT,
  end_ms            INTEGER,
  end_earliest_ms   INTEGER,
  end_latest_ms     INTEGER,
  complete          INTEGER,   -- 1, 0, or NULL when unknown or no end is recorded
  dry               INTEGER,
  read_temperature_c      REAL,  -- as the operator read them at the end
  read_pressure_kpa_gauge REAL,
  read_hold_min           REAL,
  decision          TEXT,      -- released or rejected: the latest decision, by its at, then seq
  decision_seq      INTEGER,
  decision_at       TEXT,
  decision_ms       INTEGER,
  decision_by       TEXT,
  evidence          TEXT NOT NULL,     -- recorded or missing (recall.md)
  readings          INTEGER NOT NULL,  -- 1: the operator read temperature, pressure or hold
  curves            INTEGER NOT NULL,  -- placed curves
  curve_verdict     TEXT,      -- of its curves the worst: not-reached, cannot-tell, reached; NULL: none judged
  indicators        INTEGER NOT NULL,  -- indicator readings of it or of its packs
  indicators_passed INTEGER NOT NULL,
  indicators_failed INTEGER NOT NULL,
  biologicals       INTEGER NOT NULL,  -- biological readings
  biologicals_positive INTEGER NOT NULL,
  may_wait          INTEGER NOT NULL   -- 1: under repeat-first what it reached may wait for three repeats: steam, with
                                       -- reading or curve, a passing indicator and none failed
) STRICT, WITHOUT ROWID;

-- Which packs a load holds: those of its start with all its changes applied; and what became of the pack while this was
-- its relevant load. A recall of the load reads these rows.
CREATE TABLE load_packs (
  load            TEXT NOT NULL,
  pack            TEXT NOT NULL,
  seq             INTEGER NOT NULL,  -- the load-started or load-changed that put it in
  end_ms          INTEGER,           -- the load's, as in loads
  end_earliest_ms INTEGER,
  end_latest_ms   INTEGER,
  "set"           TEXT,              -- the pack's, as in packs
  packed_ms       INTEGER,
  told_apart      INTEGER,
  implant         INTEGER,
  standing        TEXT NOT NULL,     -- used, opened, withdrawn, issued, shelf or held; reprocessed is worked out when
                                     -- it is known which loads are affected
  standing_seq    INTEGER,           -- the event that gave the standing
  standing_ms     INTEGER,
  place           TEXT,              -- the place it named
  good_later      INTEGER NOT NULL,  -- 1: a complete load, not rejected, that ended certainly later holds it too
  PRIMARY KEY (load, pack)
) STRICT, WITHOUT ROWID;

-- Every pack that any event names.
CREATE TABLE packs (
  pack               TEXT PRIMARY KEY,
  "set"              TEXT,      -- NULL: made elsewhere, or its packing is not recorded
  wrap               TEXT,
  indicator_lot      TEXT,
  wrap_lot           TEXT,
  outside            INTEGER NOT NULL,  -- 1: pack-received, made elsewhere
  outside_lot        TEXT,
  packed_seq         INTEGER,   -- its packed or pack-received
  packed_at          TEXT,
  packed_ms          INTEGER,
  packed_earliest_ms INTEGER,
  packed_latest_ms   INTEGER,
  packed_by          TEXT,
  use_by_ms          INTEGER,   -- as given by pack-received (stored ones stand in pack_moves)
  set_seq            INTEGER,   -- the definition of its set at its packing: the last one not later, else the first
  contact            TEXT,
  implant            INTEGER,
  told_apart         INTEGER    -- 0: its set cannot be told from others like it
) STRICT, WITHOUT ROWID;

-- Each use: a pair of procedure and pack. Where times are coarse, one row for each load that could be the relevant one.
CREATE TABLE uses (
  procedure       TEXT NOT NULL,
  pack            TEXT NOT NULL,
  load            TEXT,              -- its relevant load; NULL: none
  "set"           TEXT,              -- the pack's, as in packs
  origin          INTEGER NOT NULL,  -- of the procedure-done: its row in procedure_done
  seq             INTEGER NOT NULL,
  use_ms          INTEGER NOT NULL,  -- `until` if given, else `at`
  use_earliest_ms INTEGER NOT NULL,
  use_latest_ms   INTEGER NOT NULL
) STRICT;

-- pack-stored, pack-issued, pack-opened, pack-returned, pack-withdrawn. Where times are coarse, one row for each load.
CREATE TABLE pack_moves (
  pack          TEXT NOT NULL,
  kind          TEXT NOT NULL,
  load          TEXT,              -- its relevant load; NULL: none
  origin        INTEGER NOT NULL,
  seq           INTEGER NOT NULL,
  at_ms         INTEGER NOT NULL,
  earliest_ms   INTEGER NOT NULL,
  latest_ms     INTEGER NOT NULL,
  place         TEXT,
  state         TEXT,              -- of pack-returned: closed or opened
  why_withdrawn TEXT,
  use_by_ms     INTEGER,           -- of pack-stored; a date counts to its last moment in the facility's zone
  left_ms       INTEGER            -- of what puts it on the shelf (stored, returned closed): the pack's next move, or a
                                   -- use later than this, whichever is first; NULL: none so far
) STRICT;

-- Indicator readings; where only a pack is named, the load is the relevant one at the reading.
CREATE TABLE indicators (
  origin      INTEGER NOT NULL,
  seq         INTEGER NOT NULL,
  load        TEXT,
  pack        TEXT,
  found       INTEGER NOT NULL,  -- 1: the load was not named but found by the pack; one row for each that could be meant
  lot         TEXT,
  type        INTEGER,
  "where"     TEXT,
  result      TEXT,
  at_ms       INTEGER NOT NULL,
  earliest_ms INTEGER NOT NULL,
  latest_ms   INTEGER NOT NULL
) STRICT;

-- Biological readings with everything that decides whether one is a valid negative, but for the hours that the SOP wants
-- where the lot states none.
CREATE TABLE biologicals (
  origin            INTEGER PRIMARY KEY,
  seq               INTEGER NOT NULL,
  load              TEXT NOT NULL,
  biological        TEXT,
  lot               TEXT,       -- as read, else of its biological-placed
  lot_seq           INTEGER,    -- the supply-received of the lot at the reading
  lot_read_hours    INTEGER,
  lot_expires       TEXT,
  hours             REAL,       -- incubated, as stated
  result            TEXT,
  control           TEXT,
  at_ms             INTEGER NOT NULL,
  read_on           TEXT NOT NULL,  -- the day of the reading in the facility's zone
  equipment         TEXT,       -- of the load
  method            TEXT,
  start_ms          INTEGER,
  start_earliest_ms INTEGER,
  start_latest_ms   INTEGER,
  in_date           INTEGER NOT NULL,  -- 1: the lot is not known to have expired before that day
  load_sound        INTEGER NOT NULL,  -- 1: the load ended, is complete, not rejected, and has no positive reading
  counts            INTEGER NOT NULL   -- 1: negative, control growth, in date, load sound: valid if incubated enough
) STRICT;

-- Each measured curve, where it is placed (of several placings the highest seq holds) and the judgement that holds: the
-- highest seq judged under the edition of the SOP in force at the curve's `from`.
CREATE TABLE curves (
  curve       INTEGER PRIMARY KEY,  -- seq of the curve-measured
  equipment   TEXT,
  logger      TEXT,
  from_ms     INTEGER,
  until_ms    INTEGER,
  load        TEXT,      -- NULL: waits for its place
  placed_seq  INTEGER,
  sop         INTEGER,   -- seq of the edition in force at `from`
  judged_seq  INTEGER,   -- its row in curve_judged; NULL: not judged under that edition
  verdict     TEXT
) STRICT;

-- The turn of a pack: soaks, cleanings and inspections of its set after the packing before and not after its own. A soak
-- belongs by its start.
CREATE TABLE turns (
  pack        TEXT NOT NULL,
  "set"       TEXT NOT NULL,
  kind        TEXT NOT NULL,     -- soaked, cleaned or inspected
  origin      INTEGER NOT NULL,  -- its row in the table of that kind
  seq         INTEGER NOT NULL,
  at_ms       INTEGER NOT NULL,
  solution    TEXT,              -- of a soak
  certain     INTEGER NOT NULL   -- 0: with coarse times it could as well belong to another turn
) STRICT;

-- Each soak and its end: `until`, else the first soak-ended of the set and solution before they are soaked again.
CREATE TABLE soaks (
  origin            INTEGER PRIMARY KEY,
  seq               INTEGER NOT NULL,
  "set"             TEXT NOT NULL,
  solution          TEXT,        -- NULL: not recorded
  at_ms             INTEGER NOT NULL,
  earliest_ms       INTEGER NOT NULL,
  latest_ms         INTEGER NOT NULL,
  ended_seq         INTEGER,     -- NULL: no end recorded
  ended_ms          INTEGER,
  ended_earliest_ms INTEGER,
  ended_latest_ms   INTEGER
) STRICT;

-- Every solution that any event names.
CREATE TABLE solutions (
  solution              TEXT PRIMARY KEY,
  agent                 TEXT,
  use                   TEXT,
  percent               REAL,
  lot                   TEXT,
  prepared_seq          INTEGER,
  prepared_ms           INTEGER,
  prepared_earliest_ms  INTEGER,
  prepared_latest_ms    INTEGER,
  expires_ms            INTEGER,
  discarded_seq         INTEGER,
  discarded_ms          INTEGER,
  discarded_earliest_ms INTEGER,
  discarded_latest_ms   INTEGER
) STRICT, WITHOUT ROWID;

-- Recalls that were opened, and whether they were closed. Answers to them stand in recall_answered.
CREATE TABLE recalls (
  recall     TEXT PRIMARY KEY,
  because    TEXT NOT NULL,
  subject    TEXT NOT NULL,     -- JSON
  as_of      TEXT NOT NULL,
  known_at   INTEGER NOT NULL,
  answer     TEXT NOT NULL,     -- SHA-256 of the answer, kept as an attachment
  drill      INTEGER NOT NULL,
  opened_seq INTEGER NOT NULL,
  opened_ms  INTEGER NOT NULL,
  closed_seq INTEGER,
  closed_ms  INTEGER
) STRICT, WITHOUT ROWID;

-- Each correction and the family it belongs to. The highest seq of a family holds.
CREATE TABLE corrections (
  seq      INTEGER PRIMARY KEY,
  of       INTEGER NOT NULL,
  origin   INTEGER NOT NULL,  -- the family: seq of the event as first recorded
  kind     TEXT,              -- of the replacement; NULL: it never happened
  holds    INTEGER NOT NULL   -- 1: the latest of its family
) STRICT;

-- Which entry names which thing: 'pack', 'load', 'set', 'solution', 'lot', 'person', 'equipment', 'procedure',
-- 'biological', 'recall'.
CREATE TABLE mentions (
  thing  TEXT NOT NULL,
  id     TEXT NOT NULL,
  seq    INTEGER NOT NULL,
  origin INTEGER NOT NULL,
  kind   TEXT NOT NULL,
  field  TEXT NOT NULL,
  holds  INTEGER NOT NULL   -- 0: in an entry that a correction has replaced
) STRICT;

-- Every thing that any entry has ever named, also in an entry that a correction has replaced, beside its id as the eye
-- confuses it: small letters, 0 as o, 1 and i as l.
CREATE TABLE things (
  thing  TEXT NOT NULL,
  folded TEXT NOT NULL,
  id     TEXT NOT NULL,
  PRIMARY KEY (thing, folded, id)
) STRICT, WITHOUT ROWID;

-- Entries of kinds, or with fields, that this program does not know: kept, verified, exported, and counted here.
CREATE TABLE unknown_events (
  seq   INTEGER PRIMARY KEY,
  kind  TEXT NOT NULL,
  at_ms INTEGER,
  what  TEXT NOT NULL  -- JSON: the unknown kind or fields
) STRICT;

-- Indexes: a full derivation makes them last.

CREATE INDEX loads_by_equipment ON loads (equipment, start_earliest_ms, load, start_latest_ms, method);
CREATE INDEX loads_by_solution ON loads (solution) WHERE solution IS NOT NULL;
CREATE INDEX loads_by_start ON loads (start_ms);
CREATE INDEX load_packs_by_pack ON load_packs (pack, end_ms, load);
CREATE INDEX load_packs_by_set ON load_packs ("set", end_ms, pack) WHERE "set" IS NOT NULL;
CREATE INDEX packs_by_set ON packs ("set", packed_ms);
CREATE INDEX uses_by_load ON uses (load, pack, procedure, origin, seq, use_ms) WHERE load IS NOT NULL;
CREATE INDEX uses_by_pack ON uses (pack);
CREATE INDEX uses_by_procedure ON uses (procedure);
CREATE INDEX uses_by_time ON uses (use_ms, pack);
CREATE INDEX uses_by_set ON uses ("set", use_ms, pack) WHERE "set" IS NOT NULL;
CREATE INDEX pack_moves_by_pack ON pack_moves (pack, at_ms);
CREATE INDEX pack_moves_by_load ON pack_moves (load, pack, kind);
CREATE INDEX pack_moves_shelved ON pack_moves (at_ms, left_ms, pack)
  WHERE kind = 'pack-stored' OR (kind = 'pack-returned' AND state = 'closed');
CREATE INDEX indicators_by_load ON indicators (load, result);
CREATE INDEX indicators_by_pack ON indicators (pack);
CREATE INDEX indicators_by_origin ON indicators (origin);
CREATE INDEX biologicals_by_load ON biologicals (load);
CREATE INDEX biologicals_by_equipment ON biologicals (equipment, method, start_ms, counts);
CREATE INDEX curves_by_load ON curves (load);
CREATE INDEX curves_by_time ON curves (from_ms);
CREATE INDEX curves_by_logger ON curves (logger) WHERE logger IS NOT NULL;
CREATE INDEX turns_by_pack ON turns (pack);
CREATE INDEX turns_by_solution ON turns (solution, pack) WHERE solution IS NOT NULL;
CREATE INDEX turns_by_origin ON turns (origin);
CREATE INDEX soaks_by_set ON soaks ("set", at_ms);
CREATE INDEX soaks_by_solution ON soaks (solution, at_ms);
CREATE INDEX soaks_by_time ON soaks (at_ms, ended_ms, solution);
CREATE INDEX corrections_by_origin ON corrections (origin);
CREATE INDEX mentions_by_thing ON mentions (thing, id, origin, seq, holds);
CREATE INDEX mentions_by_correction ON mentions (seq, id) WHERE kind = 'corrected' OR origin <> seq;
CREATE INDEX curve_judged_by_values ON curve_judged (f0, f0_low, fh, a0);
CREATE INDEX procedure_done_unknown ON procedure_done (origin) WHERE unknown IS NOT NULL;
