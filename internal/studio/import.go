package studio

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"lapwright/internal/whole"
)

// Imported is what an import did.
type Imported struct {
	Added   []Arrival // new here, under their own identity
	Copied  []Arrival // known here with other content: added beside it as new items
	Present int       // known here with the same history: nothing to do
}

// Arrival is an item that an import brought.
type Arrival struct {
	ID    string // here
	Kind  Kind
	Title string // of its current revision
}

// The bounds of one transaction of an import, which others who save wait for.
const (
	batchRevisions = 200
	batchBytes     = 4 << 20
)

// importFile is held by the one process that imports.
const importFile = "import.lock"

// Import adds the items of an archive that Export made, of this version or an
// earlier one. An item that is here already, with the same revisions or more of
// them, is left alone; one that differs is added beside the one here. All of it
// is kept, or nothing: the items are brought in hidden, in short transactions
// between which others save, and shown by one short one in the end.
//
// An archive that is not taken gives a BadArchive.
func (s *Studio) Import(ctx context.Context, r io.ReaderAt, size int64) (*Imported, error) {
	im := &importing{store: s.store}
	lock, err := im.alone()
	if err != nil {
		return nil, err
	}
	defer lock.Free()
	if err := im.drop(ctx); err != nil {
		return nil, s.plain("import", err)
	}
	if im.from, err = openArchive(r, size, s.dir); err != nil {
		return nil, s.plain("import", err)
	}
	defer im.from.close()
	out, err := im.bring(ctx)
	if err == nil {
		err = s.Sounds.bring(im.from)
	}
	if err == nil {
		err = s.transact(ctx, func(tx *sql.Tx) error {
			_, err := tx.ExecContext(ctx, query("show arrivals"))
			return err
		})
	}
	if err != nil {
		// Also when ctx has ended: what was brought must go.
		if left := im.drop(context.WithoutCancel(ctx)); left != nil {
			err = errors.Join(err, left)
		}
		return nil, s.plain("import", err)
	}
	return out, nil
}

// importing is one import under way.
type importing struct {
	*store
	from *opened
}

// alone takes the turn to import.
func (s *importing) alone() (*whole.Lock, error) {
	if !s.place.Still() {
		return nil, s.plain("import", errAway)
	}
	lock, _, err := whole.TakeLock(filepath.Join(s.dir, importFile))
	if err == nil && lock == nil {
		err = &Trouble{What: "import", Say: "another import is under way; try again when it has ended"}
	}
	return lock, err
}

// dropOld removes what an import that was killed had brought.
func (s *importing) dropOld(ctx context.Context) error {
	lock, _, err := whole.TakeLock(filepath.Join(s.dir, importFile))
	if err != nil || lock == nil {
		return err // an import is under way: it looks after its own
	}
	return errors.Join(s.drop(ctx), lock.Free())
}

// drop removes what an import has brought and not shown. Only who holds
// the turn to import may call it.
func (s *importing) drop(ctx context.Context) error {
	left, err := filepath.Glob(filepath.Join(s.dir, spoolName+"*.part"))
	if err != nil {
		return err
	}
	for _, name := range left {
		os.Remove(name) // one that can't be removed does no harm
	}
	for {
		ids, err := s.some(ctx)
		if err != nil || len(ids) == 0 {
			return err
		}
		for _, id := range ids {
			if _, err := s.change(ctx, "drop arrival", id); err != nil {
				return err
			}
		}
	}
}

func (s *importing) some(ctx context.Context) ([]string, error) {
	rows, err := s.db.QueryContext(ctx, query("some arrivals"))
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var ids []string
	for rows.Next() {
		var id string
		if err := rows.Scan(&id); err != nil {
			return nil, err
		}
		ids = append(ids, id)
	}
	return ids, rows.Err()
}

// bring puts the items of the archive in place, hidden.
func (s *importing) bring(ctx context.Context) (*Imported, error) {
	out := &Imported{}
	b := &batch{to: s.store}
	for i := range s.from.items {
		it := &s.from.items[i]
		known, same, err := s.compare(ctx, it)
		if err != nil {
			return nil, err
		}
		if known && same {
			out.Present++
			continue
		}
		arrival := Arrival{ID: it.ID, Kind: it.Kind}
		if known {
			arrival.ID = newID()
		}
		for k := range it.Revisions {
			r := &it.Revisions[k]
			c, err := s.from.content(it, r)
			if err != nil {
				return nil, err
			}
			if r.Number == it.Current {
				arrival.Title = c.Title
			}
			if err := b.revision(ctx, arrival.ID, it, r, c, k == 0); err != nil {
				return nil, fmt.Errorf("item %q of the archive: %w", it.ID, err)
			}
		}
		b.add(0, query("end arrival"), it.Current, millis(it.Trashed), arrival.ID)
		if known {
			out.Copied = append(out.Copied, arrival)
		} else {
			out.Added = append(out.Added, arrival)
		}
	}
	return out, b.flush(ctx)
}

// compare reports whether an item is here, and whether every archived revision of
// it is here with the same content. Each revision is read once.
func (s *importing) compare(ctx context.Context, it *archivedItem) (known, same bool, err error) {
	var count int
	if err := s.db.QueryRowContext(ctx, query("is here"), it.ID).Scan(&count); err != nil || count == 0 {
		return false, false, err
	}
	here, err := s.digests(ctx, it.ID)
	if err != nil {
		return true, false, err
	}
	// What differs is read again to be added: that counts once.
	left := s.from.left
	defer func() {
		if !same {
			s.from.left = left
		}
	}()
	for i := range it.Revisions {
		r := &it.Revisions[i]
		c, err := s.from.content(it, r)
		if err != nil || here[r.Number] != digest(c.Title, c.Body, c.Extra) {
			return true, false, err
		}
	}
	return true, true, nil
}

// digests returns the digest of each revision of an item, by its number.
func (s *importing) digests(ctx context.Context, id string) (map[int][sha256.Size]byte, error) {
	rows, err := s.db.QueryContext(ctx, query("kept revisions"), id)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	out := map[int][sha256.Size]byte{}
	for rows.Next() {
		var number int
		var parent sql.NullInt64
		var saved int64
		var why, title, body, extra string
		if err := rows.Scan(&number, &parent, &saved, &why, &title, &body, &extra); err != nil {
			return nil, err
		}
		out[number] = digest(title, body, []byte(extra))
	}
	return out, rows.Err()
}

// batch gathers statements for one short transaction.
type batch struct {
	to    *store
	list  []statement
	bytes int
}

type statement struct {
	text string
	args []any
}

func (b *batch) add(size int, text string, args ...any) {
	b.list = append(b.list, statement{text, args})
	b.bytes += size
}

// revision adds one revision, and with the first its item, which shows that one
// until all are there.
func (b *batch) revision(ctx context.Context, id string, it *archivedItem, r *archivedRevision, c Content, first bool) error {
	size := len(c.Body) + len(c.Extra)
	if len(b.list) > 0 && (len(b.list) >= batchRevisions || b.bytes+size > batchBytes) {
		if err := b.flush(ctx); err != nil {
			return err
		}
	}
	if first {
		b.add(0, query("begin arrival"), id, it.Kind, it.Created.UnixMilli(), it.Demo, r.Number)
	}
	var parent any
	if r.Parent != 0 {
		parent = r.Parent
	}
	b.add(size, query("add revision"), id, r.Number, parent, r.Saved.UnixMilli(), r.Why, c.Title, c.Body, string(c.Extra))
	return nil
}

// flush writes what was gathered.
func (b *batch) flush(ctx context.Context) error {
	if len(b.list) == 0 {
		return nil
	}
	err := b.to.transact(ctx, func(tx *sql.Tx) error {
		for _, st := range b.list {
			if _, err := tx.ExecContext(ctx, st.text, st.args...); err != nil {
				return err
			}
		}
		return nil
	})
	b.list, b.bytes = b.list[:0], 0
	return err
}
