-- The kinds of thing a studio holds. A further kind is one more row.
CREATE TABLE kind (
  name TEXT PRIMARY KEY               -- singular noun: 'tune'
) STRICT, WITHOUT ROWID;

INSERT INTO kind (name) VALUES ('rig'), ('grip'), ('tune'), ('lesson');

CREATE TABLE item (
  id         TEXT PRIMARY KEY CHECK (length(id) = 16),  -- 16 hex digits, chosen at random, kept through export and import
  kind       TEXT NOT NULL REFERENCES kind (name),
  created_ms INTEGER NOT NULL,        -- Unix time, UTC, milliseconds
  trashed_ms INTEGER,                 -- Unix time, UTC, milliseconds; NULL while it is not in the trash
  demo       INTEGER NOT NULL DEFAULT 0 CHECK (demo IN (0, 1)), -- 1 for what came with the program
  current    INTEGER NOT NULL,        -- number of the revision shown
  FOREIGN KEY (id, current) REFERENCES revision (item, number) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;

CREATE INDEX item_by_kind ON item (kind, trashed_ms);

CREATE TABLE revision (
  item     TEXT NOT NULL REFERENCES item (id) ON DELETE CASCADE DEFERRABLE INITIALLY DEFERRED,
  number   INTEGER NOT NULL CHECK (number >= 1), -- counts up from 1 within the item
  parent   INTEGER,                   -- the revision it was made from; NULL for the first
  saved_ms INTEGER NOT NULL,          -- Unix time, UTC, milliseconds
  why      TEXT NOT NULL,             -- what was done, in words: 'written', 'restored from 3'
  title    TEXT NOT NULL,
  body     TEXT NOT NULL,             -- TOML, ABC or JSON, by kind
  extra    TEXT NOT NULL CHECK (json_valid(extra)), -- a JSON object of settings
  PRIMARY KEY (item, number),
  FOREIGN KEY (item, parent) REFERENCES revision (item, number) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;

CREATE TABLE setting (
  name  TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
