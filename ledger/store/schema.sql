-- Format 1 of a trayproof ledger: one SQLite file. docs/ledger-format.md tells the meaning; this file is the authority
-- on tables and columns. Entries are only ever added. The triggers keep honest hands from slips; what proves the record
-- against dishonest ones is the chain, its signatures and checkpoints kept elsewhere.

PRAGMA application_id = 0x54725066;
PRAGMA user_version = 1;

-- One row an event. `entry` holds the canonical bytes exactly as they were hashed.
CREATE TABLE entries (
  seq     INTEGER PRIMARY KEY,
  entry   TEXT NOT NULL,
  hash    BLOB NOT NULL CHECK (length(hash) = 32),
  sig     BLOB NOT NULL CHECK (length(sig) IN (0, 64)),
  slip    TEXT,             -- the recorder's own mark, unique in the ledger
  content BLOB NOT NULL     -- digest of what was given, without numbers and texts: finds repeats
) STRICT;
CREATE UNIQUE INDEX entries_by_slip ON entries (slip) WHERE slip IS NOT NULL;
CREATE INDEX entries_by_content ON entries (content);

CREATE TRIGGER entries_never_change BEFORE UPDATE ON entries
BEGIN SELECT RAISE (ABORT, 'entries are never changed'); END;
CREATE TRIGGER entries_never_go BEFORE DELETE ON entries
BEGIN SELECT RAISE (ABORT, 'entries are never removed'); END;
-- INSERT OR REPLACE passes by the trigger above; this one stops it, and gaps too.
CREATE TRIGGER entries_only_next BEFORE INSERT ON entries
WHEN new.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM entries)
BEGIN SELECT RAISE (ABORT, 'an entry takes the next seq'); END;

-- Ids that may be introduced once, as they stand after corrections. Derived; verify works it out again.
CREATE TABLE introduced (
  sort   TEXT NOT NULL,     -- pack, load, load-end, procedure, solution, solution-discard, recall, recall-close
  id     TEXT NOT NULL,
  origin INTEGER NOT NULL,  -- seq of the event that introduced it
  detail TEXT NOT NULL,     -- of a solution: its use
  PRIMARY KEY (sort, id)
) STRICT, WITHOUT ROWID;

-- Which family a correction belongs to. Derived; verify works it out again.
CREATE TABLE corrections (
  seq    INTEGER PRIMARY KEY,
  origin INTEGER NOT NULL
) STRICT;
CREATE INDEX corrections_by_origin ON corrections (origin);

-- Free text beside the chain: sha256 = SHA-256(salt || text) stands in the entry. A removed text has no row.
CREATE TABLE texts (
  sha256 BLOB NOT NULL UNIQUE,
  salt   BLOB NOT NULL,
  text   TEXT NOT NULL
) STRICT;

-- Patients' numbers beside the chain. An erased patient has no row. Pseudonyms are random: only the narrow indexes are
-- written all over, the rows one after the other.
CREATE TABLE patients (
  pseudonym     BLOB NOT NULL UNIQUE,
  lookup        BLOB NOT NULL UNIQUE,  -- keyed digest of the number
  sealed_key    BLOB NOT NULL,         -- this patient's key, sealed under the station's secret
  sealed_number BLOB NOT NULL          -- the number, sealed under this patient's key
) STRICT;

-- Files, kept whole, by the SHA-256 of their plain bytes; each part holds at most 1,000,000 of them, deflated.
CREATE TABLE attachments (
  sha256 BLOB PRIMARY KEY,
  bytes  INTEGER NOT NULL,
  parts  INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE attachment_parts (
  sha256   BLOB NOT NULL,
  part     INTEGER NOT NULL,
  deflated BLOB NOT NULL,
  PRIMARY KEY (sha256, part)
) STRICT;

-- Cycles of a logger's export as they were measured (docs/curve-format.md), deflated: so that judging again needs not
-- read the export. Made from that attachment and never trusted above it: a row without this station's mark is not
-- believed, and all can be made again.
CREATE TABLE curves (
  file     BLOB NOT NULL,     -- sha256 of the export
  part     INTEGER NOT NULL,  -- which of its cycles, from 1
  bytes    INTEGER NOT NULL,  -- before deflating
  sketch   BLOB NOT NULL,     -- few bytes by which the same curve is found again; empty when there are none
  deflated BLOB NOT NULL,
  mark     BLOB NOT NULL,     -- of all this, under the station's secret
  PRIMARY KEY (file, part)
) STRICT;

-- Signed states of this ledger (C2SP signed notes).
CREATE TABLE checkpoints (
  size INTEGER NOT NULL,
  note TEXT NOT NULL,
  PRIMARY KEY (size, note)
) STRICT, WITHOUT ROWID;

-- Entries that must be found without reading all: sop-adopted, facility-described, clock-noted, key-added, key-retired,
-- countersigned, person-enrolled, person-left, patient-erased, text-removed, attachment-removed, backup-made,
-- ledger-restored.
-- Derived; verify works it out again.
CREATE TABLE landmarks (
  kind TEXT NOT NULL,
  seq  INTEGER NOT NULL,
  PRIMARY KEY (kind, seq)
) STRICT, WITHOUT ROWID;

-- The chain's end at the last commit, marked by the station's secret: entries cut off at the end are missed.
CREATE TABLE latest (
  one  INTEGER PRIMARY KEY CHECK (one = 1),
  size INTEGER NOT NULL,
  hash BLOB NOT NULL,
  mark BLOB NOT NULL
) STRICT;

-- How far verify once found everything in order. Believed only with the station's mark.
CREATE TABLE verified (
  one  INTEGER PRIMARY KEY CHECK (one = 1),
  size INTEGER NOT NULL,
  root BLOB NOT NULL,
  mark BLOB NOT NULL
) STRICT;
