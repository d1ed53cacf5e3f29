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
	lock, err := s.importAlone()
	if err != nil {
		return nil, err
	}
	defer lock.Free()
	if err := s.dropArrivals(ctx); err != nil {
		return nil, s.plain("import", err)
	}
	a, err := openArchive(r, size, s.dir)
	if err != nil {
		return nil, s.plain("import", err)
	}
	defer a.close()
	out, err := s.bring(ctx, a)
	if err == nil {
		err = s.bringSounds(a)
	}
	if err == nil {
		err = s.transact(ctx, func(tx *sql.Tx) error {
			_, err := tx.ExecContext(ctx, query("show arrivals"))
			return err
		})
	}
	if err != nil {
		// Also when ctx has ended: what was brought must go.
		if left := s.dropArrivals(context.WithoutCancel(ctx)); left != nil {
			err = errors.Join(err, left)
		}
		return nil, s.plain("import", err)
	}
	return out, nil
}

// importAlone takes the turn to import.
func (s *Studio) importAlone() (*whole.Lock, error) {
	if !s.place.Still() {
		return nil, s.plain("import", errAway)
	}
	lock, _, err := whole.TakeLock(filepath.Join(s.dir, importFile))
	if err == nil && lock == nil {
		err = &Trouble{What: "import", Say: "another import is under way; try again when it has ended"}
	}
	return lock, err
}

// dropOldArrivals removes what an import that was killed had brought.
func (s *Studio) dropOldArrivals(ctx context.Context) error {
	lock, _, err := whole.TakeLock(filepath.Join(s.dir, importFile))
	if err != nil || lock == nil {
		return err // an import is under way: it looks after its own
	}
	return errors.Join(s.dropArrivals(ctx), lock.Free())
}

// dropArrivals removes what an import has brought and not shown. Only who holds
// the turn to import may call it.
func (s *Studio) dropArrivals(ctx context.Context) error {
	left, err := filepath.Glob(filepath.Join(s.dir, spoolName+"*.part"))
	if err != nil {
		return err
	}
	for _, name := range left {
		os.Remove(name) // one that can't be removed does no harm
	}
	for {
		ids, err := s.someArrivals(ctx)
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

func (s *Studio) someArrivals(ctx context.Context) ([]string, error) {
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

// bring puts the items of an archive in place, hidden.
func (s *Studio) bring(ctx context.Context, a *opened) (*Imported, error) {
	out := &Imported{}
	b := &batch{studio: s}
	for i := range a.items {
		it := &a.items[i]
		known, same, err := s.compare(ctx, a, it)
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
			c, err := a.content(it, r)
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
func (s *Studio) compare(ctx context.Context, a *opened, it *archivedItem) (known, same bool, err error) {
	var count int
	if err := s.db.QueryRowContext(ctx, query("is here"), it.ID).Scan(&count); err != nil || count == 0 {
		return false, false, err
	}
	here, err := s.digests(ctx, it.ID)
	if err != nil {
		return true, false, err
	}
	// What differs is read again to be added: that counts once.
	left := a.left
	defer func() {
		if !same {
			a.left = left
		}
	}()
	for i := range it.Revisions {
		r := &it.Revisions[i]
		c, err := a.content(it, r)
		if err != nil || here[r.Number] != digest(c.Title, c.Body, c.Extra) {
			return true, false, err
		}
	}
	return true, true, nil
}

// digests returns the digest of each revision of an item, by its number.
func (s *Studio) digests(ctx context.Context, id string) (map[int][sha256.Size]byte, error) {
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
	studio *Studio
	list   []statement
	bytes  int
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
	err := b.studio.transact(ctx, func(tx *sql.Tx) error {
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
