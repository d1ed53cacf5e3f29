-- name: add item
INSERT INTO item (id, kind, created_ms, demo, current) VALUES (?, ?, ?, ?, ?);

-- name: add revision
INSERT INTO revision (item, number, parent, saved_ms, why, title, body, extra) VALUES (?, ?, ?, ?, ?, ?, ?, ?);

-- name: newest number
SELECT max(number) FROM revision WHERE item = ?;

-- name: move to revision
UPDATE item SET current = ? WHERE id = ? AND current = ? AND trashed_ms IS NULL;

-- name: get
SELECT i.id, i.kind, i.created_ms, i.trashed_ms, i.demo, r.number, r.parent, r.saved_ms, r.why, r.title, r.body, r.extra,
       EXISTS (SELECT 1 FROM revision c WHERE c.item = i.id AND c.parent = r.number)
FROM item i JOIN revision r ON r.item = i.id AND r.number = i.current
WHERE i.id = ?;

-- name: get revision
SELECT i.id, i.kind, i.created_ms, i.trashed_ms, i.demo, r.number, r.parent, r.saved_ms, r.why, r.title, r.body, r.extra,
       EXISTS (SELECT 1 FROM revision c WHERE c.item = i.id AND c.parent = r.number)
FROM item i JOIN revision r ON r.item = i.id
WHERE i.id = ? AND r.number = ?;

-- name: list
SELECT i.id, i.kind, i.trashed_ms, i.demo, r.number, r.saved_ms, r.why, r.title, octet_length(r.body)
FROM item i JOIN revision r ON r.item = i.id AND r.number = i.current
WHERE i.kind = ? AND i.trashed_ms IS NULL
ORDER BY r.saved_ms DESC, r.title, i.id;

-- name: recent
SELECT i.id, i.kind, i.trashed_ms, i.demo, r.number, r.saved_ms, r.why, r.title, octet_length(r.body)
FROM item i JOIN revision r ON r.item = i.id AND r.number = i.current
WHERE i.trashed_ms IS NULL
ORDER BY r.saved_ms DESC, r.title, i.id
LIMIT ?;

-- name: trash
SELECT i.id, i.kind, i.trashed_ms, i.demo, r.number, r.saved_ms, r.why, r.title, octet_length(r.body)
FROM item i JOIN revision r ON r.item = i.id AND r.number = i.current
WHERE i.trashed_ms IS NOT NULL
ORDER BY i.trashed_ms DESC, i.id;

-- name: revision headings
SELECT i.id, i.kind, i.trashed_ms, i.demo, r.number, r.saved_ms, r.why, r.title, octet_length(r.body)
FROM item i JOIN revision r ON r.item = i.id
WHERE i.id = ?
ORDER BY r.number DESC;

-- name: revisions
SELECT i.id, i.kind, i.created_ms, i.trashed_ms, i.demo, r.number, r.parent, r.saved_ms, r.why, r.title, r.body, r.extra, 0
FROM item i JOIN revision r ON r.item = i.id
WHERE i.id = ?
ORDER BY r.number DESC;

-- name: all items
SELECT id FROM item ORDER BY created_ms, id;

-- name: current
SELECT current FROM item WHERE id = ?;

-- name: newest child
SELECT max(number) FROM revision WHERE item = ? AND parent = ?;

-- name: discard
UPDATE item SET trashed_ms = ? WHERE id = ? AND trashed_ms IS NULL;

-- name: recover
UPDATE item SET trashed_ms = NULL WHERE id = ? AND trashed_ms IS NOT NULL;

-- name: discard demo
UPDATE item SET trashed_ms = ? WHERE demo = 1 AND trashed_ms IS NULL;

-- name: forget
DELETE FROM item WHERE id = ? AND trashed_ms IS NOT NULL;

-- name: mark trashed
UPDATE item SET trashed_ms = ? WHERE id = ?;

-- name: get setting
SELECT value FROM setting WHERE name = ?;

-- name: put setting
INSERT INTO setting (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value;
