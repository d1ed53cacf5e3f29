package studio

import (
	"archive/zip"
	"bufio"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"lapwright/internal/studio/form"
	"lapwright/say"
)

// TakeSounds says whether the sound of takes goes into an archive.
type TakeSounds bool

const (
	WithoutTakes TakeSounds = false
	WithTakes    TakeSounds = true
)

// Export writes the whole studio, trash and revisions included, as a zip. It
// holds one revision in memory at a time, and the list of one item.
func (s *Studio) Export(ctx context.Context, w io.Writer, sounds TakeSounds) error {
	// One read transaction, so that the archive is of one moment. Saves go on.
	tx, err := s.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return s.plain("read", err)
	}
	defer tx.Rollback()
	e := &exporting{s.store, tx, zip.NewWriter(w)}
	if err := e.fits(ctx); err != nil {
		return err
	}
	list, err := e.items(ctx)
	if err != nil {
		return err
	}
	if sounds {
		if err := s.Sounds.export(e.to); err != nil {
			return err
		}
	}
	text, err := json.MarshalIndent(list, "", " ")
	if err == nil {
		err = addFile(e.to, archiveList, s.now(), append(text, '\n'))
	}
	if err := errors.Join(err, e.to.Close()); err != nil {
		return fmt.Errorf("could not write the archive: %w", err)
	}
	return nil
}

// exporting is one export under way.
type exporting struct {
	*store
	tx *sql.Tx
	to *zip.Writer
}

// fits refuses a studio that Import would not take in again.
func (s *exporting) fits(ctx context.Context) error {
	var items, revisions int
	var size int64
	if err := s.tx.QueryRowContext(ctx, query("size")).Scan(&items, &revisions, &size); err != nil {
		return s.plain("read", err)
	}
	// The lists take their part.
	if items > maxItems || revisions > maxRevisions || size+int64(items)*512 > maxArchived {
		return fmt.Errorf("the studio holds %d items, %d revisions and %d MB, and %d, %d and %d MB are the most an archive takes; copy its folder instead",
			items, revisions, size>>20, maxItems, maxRevisions, maxArchived>>20)
	}
	return nil
}

// items writes all items and lists them.
func (s *exporting) items(ctx context.Context) (*archive, error) {
	items, err := archivedItems(ctx, s.tx)
	if err != nil {
		return nil, s.plain("read", err)
	}
	list := &archive{Format: archiveFormat, Version: archiveVersion, Form: form.Now, Lists: []string{}}
	for i := range items {
		name, err := s.item(ctx, &items[i])
		if err != nil {
			return nil, err
		}
		items[i].Revisions = nil
		list.Lists = append(list.Lists, name)
	}
	return list, nil
}

func archivedItems(ctx context.Context, tx *sql.Tx) ([]archivedItem, error) {
	rows, err := tx.QueryContext(ctx, query("all items"))
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []archivedItem
	for rows.Next() {
		var it archivedItem
		var created int64
		var trashed sql.NullInt64
		if err := rows.Scan(&it.ID, &it.Kind, &created, &trashed, &it.Demo, &it.Current); err != nil {
			return nil, err
		}
		it.Created = time.UnixMilli(created).UTC()
		if trashed.Valid {
			at := time.UnixMilli(trashed.Int64).UTC()
			it.Trashed = &at
		}
		out = append(out, it)
	}
	return out, rows.Err()
}

// item writes an item's revisions and their list, and gives the list's
// name. What a revision has in common with an earlier one is written once.
func (s *exporting) item(ctx context.Context, it *archivedItem) (string, error) {
	rows, err := s.tx.QueryContext(ctx, query("kept revisions"), it.ID)
	if err != nil {
		return "", s.plain("read", err)
	}
	defer rows.Close()
	folder := ""
	written := map[[sha256.Size]byte]string{}
	once := func(text, name string, at time.Time) (string, error) {
		sum := sha256.Sum256([]byte(text))
		if before, ok := written[sum]; ok {
			return before, nil
		}
		written[sum] = name
		return name, addFile(s.to, name, at, []byte(text))
	}
	for rows.Next() {
		var r archivedRevision
		var parent sql.NullInt64
		var saved int64
		var body, extra string
		if err := rows.Scan(&r.Number, &parent, &saved, &r.Why, &r.Title, &body, &extra); err != nil {
			return "", s.plain("read", err)
		}
		r.Parent, r.Saved = int(parent.Int64), time.UnixMilli(saved).UTC()
		r.Sum = digestText(r.Title, body, json.RawMessage(extra))
		if folder == "" {
			folder = fmt.Sprintf("%ss/%s-%s/", it.Kind, say.Slug(r.Title), it.ID)
		}
		if r.File, err = once(body, fmt.Sprintf("%s%d%s", folder, r.Number, it.Kind.ending()), r.Saved); err == nil && extra != "{}" {
			r.Settings, err = once(extra+"\n", fmt.Sprintf("%s%d.settings.json", folder, r.Number), r.Saved)
		}
		if err != nil {
			return "", fmt.Errorf("could not write the archive: %w", err)
		}
		it.Revisions = append(it.Revisions, r)
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return "", s.plain("read", err)
	}
	name := folder + "item.json"
	f, err := s.to.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: s.now()})
	if err == nil {
		err = writeItem(f, it)
	}
	if err != nil {
		return "", fmt.Errorf("could not write the archive: %w", err)
	}
	return name, nil
}

func addFile(z *zip.Writer, name string, at time.Time, text []byte) error {
	f, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: at})
	if err == nil {
		_, err = f.Write(text)
	}
	return err
}

// writeItem writes an item's list as JSON, one revision a line.
func writeItem(to io.Writer, it *archivedItem) error {
	head := *it
	head.Revisions = []archivedRevision{}
	b, err := json.Marshal(head)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(to)
	// The head ends with the empty list of revisions, which is filled here.
	w.Write(b[:len(b)-len("]}")])
	for i, r := range it.Revisions {
		if b, err = json.Marshal(r); err != nil {
			return err
		}
		if i > 0 {
			w.WriteByte(',')
		}
		w.WriteByte('\n')
		w.Write(b)
	}
	w.WriteString("\n]}\n")
	return w.Flush()
}
