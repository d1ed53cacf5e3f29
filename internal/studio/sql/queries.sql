-- name: add item
INSERT INTO item (id, kind, created_ms, demo, current) VALUES (?, ?, ?, ?, ?);

-- name: add revision
INSERT INTO revision (item, number, parent, saved_ms, why, title, body, extra) VALUES (?, ?, ?, ?, ?, ?, ?, ?);

-- name: newest number
SELECT max(number) FROM revision WHERE item = ?;

-- name: move to revision
UPDATE item SET current = ? WHERE id = ? AND current = ? AND trashed_ms IS NULL AND arriving = 0;

-- name: get
SELECT i.id, i.kind, i.created_ms, i.trashed_ms, i.demo, r.number, r.parent, r.saved_ms, r.why, r.title, r.body, r.extra,
       EXISTS (SELECT 1 FROM revision c WHERE c.item = i.id AND c.parent = r.number)
FROM present i JOIN revision r ON r.item = i.id AND r.number = i.current
WHERE i.id = ?;

-- name: get revision
SELECT i.id, i.kind, i.created_ms, i.trashed_ms, i.demo, r.number, r.parent, r.saved_ms, r.why, r.title, r.body, r.extra,
       EXISTS (SELECT 1 FROM revision c WHERE c.item = i.id AND c.parent = r.number)
FROM present i JOIN revision r ON r.item = i.id
WHERE i.id = ? AND r.number = ?;

-- name: list
SELECT i.id, i.kind, i.trashed_ms, i.demo, r.number, r.saved_ms, r.why, r.title, octet_length(r.body)
FROM present i JOIN revision r ON r.item = i.id AND r.number = i.current
WHERE i.kind = ? AND i.trashed_ms IS NULL
ORDER BY r.saved_ms DESC, r.title, i.id;

-- name: recent
SELECT i.id, i.kind, i.trashed_ms, i.demo, r.number, r.saved_ms, r.why, r.title, octet_length(r.body)
FROM present i JOIN revision r ON r.item = i.id AND r.number = i.current
WHERE i.trashed_ms IS NULL
ORDER BY r.saved_ms DESC, r.title, i.id
LIMIT ?;

-- name: trash
SELECT i.id, i.kind, i.trashed_ms, i.demo, r.number, r.saved_ms, r.why, r.title, octet_length(r.body)
FROM present i JOIN revision r ON r.item = i.id AND r.number = i.current
WHERE i.trashed_ms IS NOT NULL
ORDER BY i.trashed_ms DESC, i.id;

-- name: revision headings
SELECT i.id, i.kind, i.trashed_ms, i.demo, r.number, r.saved_ms, r.why, r.title, octet_length(r.body)
FROM present i JOIN revision r ON r.item = i.id
WHERE i.id = ?
ORDER BY r.number DESC;

-- name: all items
SELECT id, kind, created_ms, trashed_ms, demo, current FROM present ORDER BY created_ms, id;

-- name: size
-- Items, revisions, and the most bytes that all revisions take in an archive: what is written into JSON grows sixfold at most.
SELECT (SELECT count(*) FROM present), count(*),
       coalesce(sum(octet_length(body) + octet_length(extra) + 6 * (octet_length(title) + octet_length(why)) + 512), 0)
FROM revision;

-- name: kept revisions
SELECT number, parent, saved_ms, why, title, body, extra FROM revision WHERE item = ? ORDER BY number;

-- name: is here
SELECT count(*) FROM present WHERE id = ?;

-- name: newest child
SELECT max(number) FROM revision WHERE item = ? AND parent = ?;

-- name: discard
UPDATE item SET trashed_ms = ? WHERE id = ? AND trashed_ms IS NULL AND arriving = 0;

-- name: recover
UPDATE item SET trashed_ms = NULL WHERE id = ? AND trashed_ms IS NOT NULL AND arriving = 0;

-- name: discard demo
UPDATE item SET trashed_ms = ? WHERE demo = 1 AND trashed_ms IS NULL AND arriving = 0;

-- name: forget
DELETE FROM item WHERE id = ? AND trashed_ms IS NOT NULL AND arriving = 0;

-- name: begin arrival
INSERT INTO item (id, kind, created_ms, demo, current, arriving) VALUES (?, ?, ?, ?, ?, 1);

-- name: end arrival
UPDATE item SET current = ?, trashed_ms = ? WHERE id = ? AND arriving = 1;

-- name: show arrivals
UPDATE item SET arriving = 0 WHERE arriving = 1;

-- name: some arrivals
SELECT id FROM item WHERE arriving = 1 LIMIT 100;

-- name: drop arrival
DELETE FROM item WHERE id = ? AND arriving = 1;

-- name: rig texts
SELECT r.item, r.saved_ms, r.body FROM revision r JOIN item i ON i.id = r.item WHERE i.kind = 'rig' ORDER BY r.item, r.number;

-- name: next revisions
SELECT r.item, r.number, i.kind, r.saved_ms, r.body, r.extra FROM revision r JOIN item i ON i.id = r.item
WHERE (r.item, r.number) > (?, ?) ORDER BY r.item, r.number LIMIT 200;

-- name: rewrite revision
UPDATE revision SET body = ?, extra = ? WHERE item = ? AND number = ?;

-- name: speaks of
-- How many revisions of takes speak of a sum, those still arriving included.
SELECT count(*) FROM revision r JOIN item i ON i.id = r.item WHERE i.kind = 'take' AND r.body LIKE ?;

-- name: get setting
SELECT value FROM setting WHERE name = ?;

-- name: put setting
INSERT INTO setting (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value;
