-- Two changes. What an import brings is put in place little by little, hidden, and shown all at once. And revisions lie
-- under their row's number: a table WITHOUT ROWID reads whole rows, with bodies of many pages, to find one.

CREATE TABLE item_2 (
  id         TEXT PRIMARY KEY CHECK (length(id) = 16),  -- 16 hex digits, chosen at random, kept through export and import
  kind       TEXT NOT NULL REFERENCES kind (name),
  created_ms INTEGER NOT NULL,        -- Unix time, UTC, milliseconds
  trashed_ms INTEGER,                 -- Unix time, UTC, milliseconds; NULL while it is not in the trash
  demo       INTEGER NOT NULL DEFAULT 0 CHECK (demo IN (0, 1)), -- 1 for what came with the program
  current    INTEGER NOT NULL,        -- number of the revision shown
  arriving   INTEGER NOT NULL DEFAULT 0 CHECK (arriving IN (0, 1)), -- 1 while an import brings it
  FOREIGN KEY (id, current) REFERENCES revision_2 (item, number) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;

CREATE TABLE revision_2 (
  item     TEXT NOT NULL REFERENCES item_2 (id) ON DELETE CASCADE DEFERRABLE INITIALLY DEFERRED,
  number   INTEGER NOT NULL CHECK (number >= 1), -- counts up from 1 within the item
  parent   INTEGER,                   -- the revision it was made from; NULL for the first
  saved_ms INTEGER NOT NULL,          -- Unix time, UTC, milliseconds
  why      TEXT NOT NULL,             -- what was done, in words: 'written', 'restored from 3'
  title    TEXT NOT NULL,
  body     TEXT NOT NULL,             -- TOML, ABC or JSON, by kind
  extra    TEXT NOT NULL CHECK (json_valid(extra)), -- a JSON object of settings
  PRIMARY KEY (item, number),
  FOREIGN KEY (item, parent) REFERENCES revision_2 (item, number) DEFERRABLE INITIALLY DEFERRED
) STRICT;

-- Redo looks for what was made from a revision, and the database itself does
-- whenever it keeps revisions and their parents together.
CREATE INDEX revision_by_parent ON revision_2 (item, parent, number);

INSERT INTO item_2 SELECT id, kind, created_ms, trashed_ms, demo, current, 0 FROM item;
INSERT INTO revision_2 SELECT item, number, parent, saved_ms, why, title, body, extra FROM revision ORDER BY item, number;

DROP TABLE revision;
DROP TABLE item;
ALTER TABLE item_2 RENAME TO item;
ALTER TABLE revision_2 RENAME TO revision;

CREATE INDEX item_by_kind ON item (kind, trashed_ms);
CREATE INDEX item_by_arriving ON item (arriving) WHERE arriving = 1;

-- The items that are here: everything but what is still arriving.
CREATE VIEW present AS SELECT id, kind, created_ms, trashed_ms, demo, current FROM item WHERE arriving = 0;
