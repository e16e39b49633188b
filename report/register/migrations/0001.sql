-- 0001: what the register holds of each ledger. docs/register.md tells the meaning; this file and those after it are the
-- authority on tables and columns. A migration that was once applied is never changed: what is to be otherwise stands in the
-- next one.
--
-- The ledger's id (32 hex digits) comes first in every key, so that each table can be spread over machines by it. There are no
-- triggers, no sequences, no foreign keys and no identity columns; rows are only ever added, and no role may do more.

-- Every ledger that was ever taken in.
CREATE TABLE register.ledgers (
  ledger   text        NOT NULL,
  origin   text        NOT NULL,  -- trayproof/<ledger>
  first    bytea       NOT NULL,  -- hash of its first entry, which names its first key
  received timestamptz NOT NULL,
  PRIMARY KEY (ledger)
);

-- The pasts that a ledger told of itself: one, unless it was restored from a backup or forked.
CREATE TABLE register.lines (
  ledger    text        NOT NULL,
  line      integer     NOT NULL,  -- from 1
  why       text        NOT NULL CHECK (why IN ('first', 'restored', 'fork')),
  base_line integer,               -- NULL for the first: the line that it parts from
  base_size bigint      NOT NULL,  -- entries that both share
  opened    timestamptz NOT NULL,
  PRIMARY KEY (ledger, line)
);

-- The entries of each line behind its base, as they were hashed. hash = sha256('\x00' || convert_to(entry, 'UTF8')).
CREATE TABLE register.entries (
  ledger   text        NOT NULL,
  line     integer     NOT NULL,
  seq      bigint      NOT NULL,
  kind     text        NOT NULL,
  recorded timestamptz NOT NULL,
  entry    text        NOT NULL,
  hash     bytea       NOT NULL,
  sig      bytea       NOT NULL,  -- empty when a later entry of the same key covers it
  PRIMARY KEY (ledger, line, seq)
);
CREATE INDEX entries_of_keys ON register.entries (ledger, line, seq) WHERE kind IN ('key-added', 'key-retired');

-- The signed states that were taken in, each with what is needed to go on from it.
CREATE TABLE register.states (
  ledger     text        NOT NULL,
  line       integer     NOT NULL,
  size       bigint      NOT NULL,
  root       bytea       NOT NULL,
  last       bytea       NOT NULL,  -- hash of the last entry
  peaks      bytea       NOT NULL,  -- roots of the tree's full subtrees, largest first, 32 bytes each
  checkpoint text        NOT NULL,  -- the signed note as it came
  cosigned   text,                  -- the register's signature line under it; NULL: this line is not co-signed
  received   timestamptz NOT NULL,
  PRIMARY KEY (ledger, line, size)
);

-- Every parcel that held, and what came of it. Those that tell another past keep their checkpoint here.
CREATE TABLE register.deliveries (
  ledger     text        NOT NULL,
  received   timestamptz NOT NULL,
  sha256     bytea       NOT NULL,  -- of the file
  line       integer,               -- NULL: of no line that is held
  since      bigint      NOT NULL,
  size       bigint      NOT NULL,
  made       timestamptz,           -- by the sender's clock, as told
  outcome    text        NOT NULL CHECK (outcome IN ('taken', 'repeated', 'older', 'rolled-back', 'restored', 'forked', 'other-past')),
  entries    bigint      NOT NULL,  -- new ones
  parted     bigint,                -- the first seq that is another than what is held
  checkpoint text        NOT NULL,
  PRIMARY KEY (ledger, received, sha256)
);

-- How far the tables of `derived` are worked out for each ledger. They can be dropped at any time.
CREATE TABLE derived.watermark (
  ledger  text        NOT NULL,
  line    integer     NOT NULL,
  seq     bigint      NOT NULL,
  hash    bytea       NOT NULL,
  derived timestamptz NOT NULL,
  last_at timestamptz,            -- no event stands with a later `at`
  PRIMARY KEY (ledger)
);

-- Which shape the tables of `derived` have: another one makes them anew.
CREATE TABLE derived.shape (
  one   integer NOT NULL CHECK (one = 1),
  shape text    NOT NULL,
  PRIMARY KEY (one)
);
