package studio

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
)

// The archive of a whole studio: a zip with one list, studio.json, and each
// revision's body as a plain file of its own.
const (
	archiveFormat  = "lapwright studio"
	archiveVersion = 1
	archiveList    = "studio.json"
	mostList       = 64 << 20 // bytes of studio.json
	mostArchived   = 1 << 30  // bytes of all bodies together
	mostItems      = 100_000
)

type archive struct {
	Format  string         `json:"format"`
	Version int            `json:"version"`
	Items   []archivedItem `json:"items"`
}

type archivedItem struct {
	ID        string             `json:"id"`
	Kind      Kind               `json:"kind"`
	Created   time.Time          `json:"created"`
	Trashed   *time.Time         `json:"trashed,omitempty"`
	Demo      bool               `json:"demo,omitempty"`
	Current   int                `json:"current"`
	Revisions []archivedRevision `json:"revisions"`
}

type archivedRevision struct {
	Number int             `json:"number"`
	Parent int             `json:"parent,omitempty"`
	Saved  time.Time       `json:"saved"`
	Why    string          `json:"why"`
	Title  string          `json:"title"`
	File   string          `json:"file"`
	Extra  json.RawMessage `json:"extra"`
}

// ending is what a kind's body is called as a file.
func (k Kind) ending() string {
	switch k {
	case Rig:
		return ".toml"
	case Tune:
		return ".abc"
	}
	return ".json"
}

// Export writes the whole studio, trash and revisions included, as a zip.
func (s *Studio) Export(ctx context.Context, w io.Writer) error {
	list := archive{Format: archiveFormat, Version: archiveVersion}
	z := zip.NewWriter(w)
	// One read transaction, so that the archive is of one moment.
	tx, err := s.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return s.plain("read", err)
	}
	defer tx.Rollback()
	ids, err := column(ctx, tx, query("all items"))
	if err != nil {
		return s.plain("read", err)
	}
	for _, id := range ids {
		rows, err := tx.QueryContext(ctx, query("revisions"), id)
		if err != nil {
			return s.plain("read", err)
		}
		var it archivedItem
		for rows.Next() {
			r, err := scan(rows)
			if err != nil {
				rows.Close()
				return s.plain("read", err)
			}
			it.ID, it.Kind, it.Created, it.Demo = r.ID, r.Kind, r.Created, r.Demo
			if !r.Trashed.IsZero() {
				it.Trashed = &r.Trashed
			}
			name := fmt.Sprintf("%ss/%s-%s/%d%s", r.Kind, Slug(r.Title), r.ID, r.Revision, r.Kind.ending())
			f, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: r.Saved})
			if err == nil {
				_, err = io.WriteString(f, r.Body)
			}
			if err != nil {
				rows.Close()
				return fmt.Errorf("could not write the archive: %w", err)
			}
			it.Revisions = append(it.Revisions, archivedRevision{r.Revision, r.Parent, r.Saved, r.Why, r.Title, name, r.Extra})
		}
		if err := errors.Join(rows.Err(), rows.Close()); err != nil {
			return s.plain("read", err)
		}
		if err := tx.QueryRowContext(ctx, query("current"), id).Scan(&it.Current); err != nil {
			return s.plain("read", err)
		}
		slices.Reverse(it.Revisions)
		list.Items = append(list.Items, it)
	}
	f, err := z.CreateHeader(&zip.FileHeader{Name: archiveList, Method: zip.Deflate, Modified: s.now()})
	if err != nil {
		return fmt.Errorf("could not write the archive: %w", err)
	}
	enc := json.NewEncoder(f)
	enc.SetIndent("", "  ")
	if err := errors.Join(enc.Encode(list), z.Close()); err != nil {
		return fmt.Errorf("could not write the archive: %w", err)
	}
	return nil
}

func column(ctx context.Context, tx *sql.Tx, q string) ([]string, error) {
	rows, err := tx.QueryContext(ctx, q)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []string
	for rows.Next() {
		var v string
		if err := rows.Scan(&v); err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, rows.Err()
}

// Slug makes a short file name of a title: small letters, digits and dashes,
// "untitled" when nothing is left.
func Slug(title string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(title) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case r == '\'' || r == '’':
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() >= 48 {
			break
		}
	}
	if s := strings.Trim(b.String(), "-"); s != "" {
		return s
	}
	return "untitled"
}

// Imported is what an import did.
type Imported struct {
	Added   []*Item // new here, under their own identity
	Copied  []*Item // known here with other content: added beside it as new items
	Present int     // known here with the same history: nothing to do
}

// Import adds the items of an archive that Export made. An item that is here
// already, with the same revisions or more of them, is left alone; one that
// differs is added beside the one here. All of it is kept, or nothing.
func (s *Studio) Import(ctx context.Context, r io.ReaderAt, size int64) (*Imported, error) {
	z, err := zip.NewReader(r, size)
	if err != nil {
		return nil, fmt.Errorf("this is no zip file: %v", err)
	}
	files := map[string]*zip.File{}
	for _, f := range z.File {
		files[f.Name] = f
	}
	left := int64(mostArchived)
	raw, err := unpack(files, archiveList, mostList, &left)
	if err != nil {
		return nil, err
	}
	var list archive
	dec := json.NewDecoder(bytes.NewReader(raw))
	if err := dec.Decode(&list); err != nil {
		return nil, fmt.Errorf("%s in the archive can't be read: %v", archiveList, err)
	}
	switch {
	case list.Format != archiveFormat:
		return nil, fmt.Errorf("the archive is no studio: its format is %q", list.Format)
	case list.Version != archiveVersion:
		return nil, fmt.Errorf("the archive has version %d, and %d is the one known here", list.Version, archiveVersion)
	case len(list.Items) > mostItems:
		return nil, fmt.Errorf("the archive holds %d items, and %d are the most", len(list.Items), mostItems)
	}
	out := &Imported{}
	var added, copied []string
	err = s.transact(ctx, func(tx *sql.Tx) error {
		for i := range list.Items {
			it := &list.Items[i]
			bodies, err := it.read(files, &left)
			if err != nil {
				return err
			}
			id := it.ID
			known, same, err := s.compare(ctx, tx, it, bodies)
			switch {
			case err != nil:
				return err
			case known && same:
				out.Present++
				continue
			case known:
				id = newID()
				copied = append(copied, id)
			default:
				added = append(added, id)
			}
			if err := s.insert(ctx, tx, id, it, bodies); err != nil {
				return fmt.Errorf("item %q of the archive: %w", it.ID, err)
			}
		}
		return nil
	})
	if err != nil {
		return nil, s.plain("import", err)
	}
	for _, id := range added {
		it, err := s.Get(ctx, id)
		if err != nil {
			return nil, err
		}
		out.Added = append(out.Added, it)
	}
	for _, id := range copied {
		it, err := s.Get(ctx, id)
		if err != nil {
			return nil, err
		}
		out.Copied = append(out.Copied, it)
	}
	return out, nil
}

// read checks an archived item and gives the bodies of its revisions.
func (it *archivedItem) read(files map[string]*zip.File, left *int64) ([]string, error) {
	bad := func(format string, a ...any) error {
		return fmt.Errorf("item %q of the archive: %s", it.ID, fmt.Sprintf(format, a...))
	}
	if len(it.ID) != 16 || strings.Trim(it.ID, "0123456789abcdef") != "" {
		return nil, bad("its identity is not 16 hex digits")
	}
	if !slices.Contains(Kinds, it.Kind) {
		return nil, bad("its kind %q is not known here", it.Kind)
	}
	if len(it.Revisions) == 0 {
		return nil, bad("it has no revisions")
	}
	numbers := map[int]bool{}
	bodies := make([]string, len(it.Revisions))
	for i, r := range it.Revisions {
		if r.Number < 1 || numbers[r.Number] || r.Parent != 0 && !numbers[r.Parent] {
			return nil, bad("its revision %d is out of order", r.Number)
		}
		numbers[r.Number] = true
		b, err := unpack(files, r.File, MostBody, left)
		if err != nil {
			return nil, bad("revision %d: %v", r.Number, err)
		}
		c := Content{Title: r.Title, Body: string(b), Extra: r.Extra}
		if err := c.check(); err != nil {
			return nil, bad("revision %d: %v", r.Number, err)
		}
		it.Revisions[i].Title, it.Revisions[i].Extra = c.Title, c.Extra
		bodies[i] = c.Body
	}
	if !numbers[it.Current] {
		return nil, bad("its current revision %d is missing", it.Current)
	}
	return bodies, nil
}

// unpack reads one file of the archive, within a limit of its own and what is
// left for the whole: a small file that would swell is stopped, whatever sizes
// the archive states.
func unpack(files map[string]*zip.File, name string, most int64, left *int64) ([]byte, error) {
	f, ok := files[name]
	if !ok {
		return nil, fmt.Errorf("the archive has no file %q", name)
	}
	r, err := f.Open()
	if err != nil {
		return nil, fmt.Errorf("the file %q can't be unpacked: %v", name, err)
	}
	defer r.Close()
	most = min(most, *left)
	b, err := io.ReadAll(io.LimitReader(r, most+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("the file %q can't be unpacked: %v", name, err)
	case int64(len(b)) > most:
		return nil, fmt.Errorf("the file %q unpacks to more than %d bytes", name, most)
	}
	*left -= int64(len(b))
	return b, nil
}

// compare says whether an item is here, and whether every archived revision of
// it is here with the same content.
func (s *Studio) compare(ctx context.Context, tx *sql.Tx, it *archivedItem, bodies []string) (known, same bool, err error) {
	rows, err := tx.QueryContext(ctx, query("revisions"), it.ID)
	if err != nil {
		return false, false, err
	}
	defer rows.Close()
	here := map[int][32]byte{}
	for rows.Next() {
		r, err := scan(rows)
		if err != nil {
			return false, false, err
		}
		here[r.Revision] = digest(r.Title, r.Body, r.Extra)
	}
	same = true
	for i, r := range it.Revisions {
		same = same && here[r.Number] == digest(r.Title, bodies[i], r.Extra)
	}
	return len(here) > 0, same, rows.Err()
}

func digest(title, body string, extra json.RawMessage) [32]byte {
	var tidy bytes.Buffer
	if json.Compact(&tidy, extra) != nil {
		tidy.Reset()
		tidy.Write(extra)
	}
	return sha256.Sum256([]byte(title + "\x00" + body + "\x00" + tidy.String()))
}

func (s *Studio) insert(ctx context.Context, tx *sql.Tx, id string, it *archivedItem, bodies []string) error {
	if _, err := tx.ExecContext(ctx, query("add item"), id, it.Kind, it.Created.UnixMilli(), it.Demo, it.Current); err != nil {
		return err
	}
	for i, r := range it.Revisions {
		var parent any
		if r.Parent != 0 {
			parent = r.Parent
		}
		if _, err := tx.ExecContext(ctx, query("add revision"), id, r.Number, parent, r.Saved.UnixMilli(), r.Why, r.Title, bodies[i], string(r.Extra)); err != nil {
			return err
		}
	}
	if it.Trashed != nil {
		_, err := tx.ExecContext(ctx, query("mark trashed"), it.Trashed.UnixMilli(), id)
		return err
	}
	return nil
}
